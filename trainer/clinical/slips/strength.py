"""The concentration of another container, or of this one misread."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical.quantity import Strength, format_quantity
from trainer.clinical.relations import Part
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate, of_given, times
from trainer.clinical.slips.names import Slip

SLIP = Slip.OTHER_CONCENTRATION
CONCENTRATION = "concentration"


def strength_slips(answer: Answer) -> Iterator[Candidate]:
    """Strengths a learner may have taken where no other container is named."""
    given = next((value for name, value, _ in answer.givens() if name == CONCENTRATION), None)
    if isinstance(given, Strength):
        yield from _misread(answer, given)
    yield from _before_dilution(answer)


def _misread(answer: Answer, strength: Strength) -> Iterator[Candidate]:
    """Twice or half as strong; the volume of `400 mg in 250 mL` overlooked."""
    text = answer.text_of(CONCENTRATION)
    for ratio, strong in ((Fraction(2), "twice"), (Fraction(1, 2), "half")):
        because = f"it fits a bag {strong} as strong as {text}"
        way = f"{strong} as strong"
        yield from of_given(answer, SLIP, CONCENTRATION, ratio, because, way=way, is_usual=False)
    volume = strength.volume
    if volume.value != 1:
        because = f"the {format_quantity(volume)} in {text} were left out"
        yield from of_given(
            answer,
            SLIP,
            CONCENTRATION,
            volume.value,
            because,
            way="volume left out",
            is_usual=False,
        )


def _before_dilution(answer: Answer) -> Iterator[Candidate]:
    """The strength with only one of the two volumes that were mixed."""
    sizes = {given.name: given.size for _, given in answer.asked.known} if answer.asked else {}
    if answer.kind != CONCENTRATION or not {"volume", "diluent"} <= set(sizes):
        return
    whole = sizes["volume"] + sizes["diluent"]
    for name, other in (("volume", "diluent"), ("diluent", "volume")):
        because = f"the {answer.text_of(other)} of {_called(other)} were not counted"
        ratio = whole / sizes[name]
        yield times(answer, SLIP, f"only {name}", ratio, because, touches=(other,))


def _called(name: str) -> str:
    return "diluent" if name == "diluent" else Part.STOCK_VOLUME.value
