"""Two readings of a problem that does not come out as it stands, each told in the solution.

"10 mg/kg from a vial of 50 mg/mL, in 100 mL over 30 min" gives the strength of the vial and
the volume of the bag. Held against each other they contradict the dose. The dose, drawn
from the vial, then decides which of the two the question needs; the other is set aside. And a fluid that is
reckoned by the day is a day's, if nothing tells for how long it runs.
"""

from __future__ import annotations

from dataclasses import replace

from trainer.clinical.asked import Asked
from trainer.clinical.givens import read_given
from trainer.clinical.knowns import Knowns
from trainer.clinical.parts import is_per_day
from trainer.clinical.relations import Part

NEEDS_THE_BAG = frozenset(
    {"rate", "drip_rate", "duration", "finish", "drop_factor", "concentration"}
)
"""Questions about the line, or about what is mixed; the others are about the drug."""


def set_aside(asked: Asked) -> Asked | None:
    """The problem without the given that is of another container; None if there is none.

    Only where a strength, a volume and a single dose are given and nothing is diluted by name.
    """
    names = {given.name for _, given in asked.known}
    if not {"concentration", "volume"} <= names or "diluent" in names:
        return None
    by_bag = asked.problem.find in NEEDS_THE_BAG
    if _is_by_time(asked) or not names & ({"dose", "amount"} if by_bag else {"dose"}):
        return None
    left_out, why = ("concentration", _BAG) if by_bag else ("volume", _VIAL)
    texts = {given.name: given.text for _, given in asked.known}
    known = tuple((part, given) for part, given in asked.known if given.name != left_out)
    return replace(asked, known=known, taken_as=why.format(**texts))


def fits_the_bag(asked: Asked, known: Knowns) -> bool:
    """Whether the drug of `known`, drawn up at the strength of `asked`, goes into its volume."""
    sizes = {given.name: given.size for _, given in asked.known}
    amount = known.get(Part.AMOUNT) or known.get(Part.CONTAINER_AMOUNT)
    return amount is None or amount.value <= sizes["concentration"] * sizes["volume"]


def for_one_day(asked: Asked) -> Asked | None:
    """The problem with a duration of one day, where a fluid is reckoned by the day.

    Only for a volume asked from the 100-50-20 rule or from a fluid per day, with nothing else
    that tells for how long; None otherwise.
    """
    names = {given.name for _, given in asked.known}
    if asked.part is not Part.VOLUME or names & {"duration", "doses_per_day", "dehydration"}:
        return None
    by_day = asked.rule == "100-50-20" or any(
        part in _FLUID_RATES and is_per_day(given.plain.unit) for part, given in asked.known
    )
    if not by_day:
        return None
    day = read_given("duration", "1 day", asked.kg_per_lb)
    return replace(
        asked,
        known=(*asked.known, (Part.DURATION, day)),
        taken_as="the volume of one day is meant: check whether it is given in several parts",
    )


_FLUID_RATES = {Part.RATE, Part.RATE_PER_KG, Part.RATE_PER_M2}


def _is_by_time(asked: Asked) -> bool:
    """Whether a dose is given per time: then a rate follows from it, and stays to be explained."""
    return any(part in _BY_TIME for part, _ in asked.known)


_BY_TIME = {Part.AMOUNT_RATE, Part.AMOUNT_RATE_PER_KG, Part.AMOUNT_RATE_PER_M2}
_BAG = (
    "{volume} is the whole volume that runs, with the drug in it; {concentration} is the strength "
    "in the vial: check both labels"
)
_VIAL = (
    "the drug is drawn up at {concentration}; {volume} is what the container holds, not what is "
    "given: check both labels"
)
