"""How far an error came and how large it was: two gradings, kept apart.

Reach follows the idea of national medication error indexes (NCC MERP): an error that was
caught before the patient, one that reached the patient without harm, one after which the
patient must be watched, and harm. It is the reach that such an error can be expected to have:
nobody can harm the simulated patient. Deviation is the share by which what reached the vein
differed from what was due. Both are kept, since field studies find many deviations and few
that harm (BMJ Quality & Safety 2017;26:131).

Chosen by us: the bars of the ward's marking (`watch_from`, `harm_from`) are held against
the dose, for a fluid that runs on against what it gives in an hour, so that a large error
caught within seconds is not called harm; a hard limit of the formulary that was passed, or a
drug in the tissue that kills it, counts as harm whatever the share.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from trainer.clinical.quantity import parse_quantity
from trainer.engine import limits
from trainer.engine.amounts import motes_from_ml, ul_h_from_ml_h
from trainer.engine.meeting import clash
from trainer.engine.state import Programme
from trainer.errors import QuantityError
from trainer.scenario.model import Fluid, Marking, Order, Scenario
from trainer.scoring.evidence import Evidence
from trainer.scoring.findings import Finding, Trace
from trainer.scoring.programmes import Keyed
from trainer.scoring.ran import Ran, came_since, under_programme
from trainer.terms import Domain, Reach, Verdict

LEAST_ML = Fraction("0.05")
"""A drug of which less came passes no limit. Chosen by us: what is told as nothing."""

SEVERE_GRADE = 3
"""An infiltration from this grade on is harm. Chosen by us: large, cold and pale."""

PUT_RIGHT = frozenset({Verdict.RIGHT, Verdict.NOT_NEEDED})
IN_ORDER = tuple(Reach)
MS_PER_H = 3_600_000


def worst(*reaches: Reach) -> Reach:
    """The furthest of several reaches; none without any."""
    return max(reaches, key=IN_ORDER.index, default=Reach.NONE)


def at_most(reach: Reach, bound: Reach) -> Reach:
    """A reach, but no further than another."""
    return min(reach, bound, key=IN_ORDER.index)


def by_share(marking: Marking, share: Fraction) -> Reach:
    """The reach of an error in the vein by its share of the dose, by the ward's own bars."""
    if share >= marking.harm_from:
        return Reach.HARM
    return Reach.WATCH if share >= marking.watch_from else Reach.NO_HARM


def of_ran(scenario: Scenario, order: Order, ran: Ran) -> Reach:
    """The reach of a stretch in which too much or too little of an order's fluid came."""
    if is_beyond_hard_limit(scenario, order.line, scenario.fluid(order.fluid), ran):
        return Reach.HARM
    return by_share(scenario.policy.marking, ran.share)


def is_beyond_hard_limit(scenario: Scenario, line: int, fluid: Fluid, ran: Ran) -> bool:
    """Whether so much of a fluid in so much time passes the top of a hard limit of its drug.

    Held against the limits are the volume that came and the mean rate at which it came.
    """
    if ran.got_ml < LEAST_ML or not ran.ran_ms:
        return False
    rate_ml_h = ran.got_ml * MS_PER_H / ran.ran_ms
    came = Programme(
        volume=motes_from_ml(_to_thousandths(ran.got_ml)),
        rate_ul_h=ul_h_from_ml_h(_to_thousandths(rate_ml_h)),
        duration_ms=ran.ran_ms,
    )
    left = limits.outside_as_entered(_tops_alone(scenario), line, fluid, came)
    return any(one.limit.hard for one in left)


def _tops_alone(scenario: Scenario) -> Scenario:
    """The scenario with its drugs' upper limits alone: less than a dose passes none."""
    drugs = tuple(
        replace(
            drug,
            limits=tuple(replace(one, least=None) for one in drug.limits if one.most is not None),
        )
        for drug in scenario.formulary.drugs
    )
    return replace(scenario, formulary=replace(scenario.formulary, drugs=drugs))


def _to_thousandths(value: Fraction) -> Fraction:
    return Fraction(value * 1000 // 1, 1000)


# --- findings ---------------------------------------------------------------------------


def graded(seen: Evidence, traces: tuple[Trace, ...]) -> tuple[Finding, ...]:
    """The findings of an attempt, with the reach of those about entries, flow and harm."""
    return tuple(
        replace(one, reach=reach) if (reach := _reach(seen, one, traces)) is not one.reach else one
        for one in seen.findings
    )


def _reach(seen: Evidence, finding: Finding, traces: tuple[Trace, ...]) -> Reach:
    if finding.verdict in PUT_RIGHT:
        return Reach.NONE
    if finding.domain is Domain.ENTERING and finding.plan == "entry":
        return _of_entry(seen, finding, traces)
    if finding.plan == "delivered":
        return _of_delivered(seen, finding)
    return Reach.NONE


def _of_entry(seen: Evidence, finding: Finding, traces: tuple[Trace, ...]) -> Reach:
    """The reach of a wrong entry: that of its order's trace, unless it never ran.

    An omission reaches the patient, as the error indexes count it.
    """
    _, name, part = finding.id.split(".")[:3]
    if name == "none":
        return _of_no_order(seen, int(part))
    if finding.verdict is Verdict.CORRECTED or not (finding.critical or finding.at_ms is None):
        return Reach.CAUGHT
    mine = {one.quantity: one.reach for one in traces if one.order == name}
    quantity = part.removeprefix("keyed-").removeprefix("set-").replace("-", "_")
    if quantity in mine:
        return worst(mine[quantity], Reach.NO_HARM)
    if quantity == "volume":
        return _of_volume_at_once(seen, seen.scenario.order(name))
    return worst(mine.get("rate", Reach.NO_HARM), Reach.NO_HARM)


def _of_no_order(seen: Evidence, index: int) -> Reach:
    """A programme for which no order stood. Nothing was due, so there is no share to judge by."""
    one = next((one for one in seen.entered if one.index == index), None)
    if one is None or one.started is None:
        return Reach.CAUGHT
    ran = _ran_unordered(seen, one)
    fluid = _hung(seen, one)
    if fluid is not None and is_beyond_hard_limit(seen.scenario, one.line, fluid, ran):
        return Reach.HARM
    return Reach.WATCH if ran.got_ml >= LEAST_ML else Reach.NO_HARM


def _ran_unordered(seen: Evidence, one: Keyed) -> Ran:
    """What the pump moved from the start of a programme to its next start, or the end."""
    start = one.started or 0
    later = (other.started for other in seen.entered if other.line == one.line)
    until = min((n for n in later if n is not None and n > start), default=seen.last)
    first, last = seen.states[start + 1], seen.states[until + 1]
    moved = last.line(one.line).pump.total - first.line(one.line).pump.total
    rate_ul_h = max(1, one.programme.rate_ul_h)
    return Ran(
        from_ms=first.as_of_ms,
        until_ms=last.as_of_ms,
        ran_ms=moved // rate_ul_h,
        got_ml=Fraction(moved, motes_from_ml(Fraction(1))),
        due_ml=Fraction(0),
        base_ml=Fraction(0),
    )


def _hung(seen: Evidence, one: Keyed) -> Fluid | None:
    """The fluid in the container at the inlet for which a programme was entered."""
    line = seen.states[one.index + 1].line(one.line)
    inlet = line.secondary if one.role.value == "secondary" else line.primary
    if inlet is None or not inlet.container:
        return None
    return seen.scenario.fluid(seen.scenario.supply(inlet.container).fluid)


def _of_volume_at_once(seen: Evidence, order: Order) -> Reach:
    """Too large a volume of a fluid that runs on: a safeguard less, until more ran by it."""
    key = seen.key(order, "volume")
    marking = seen.scenario.policy.marking
    most = Reach.NO_HARM
    for one in seen.entered:
        if one.order == order and one.started is not None and key is not None:
            bearable_ml = key.value * (1 + marking.watch_from)
            if came_since(seen, order, one.started) <= bearable_ml:
                continue
            ran = under_programme(seen, order, one.started, seen.last)
            most = Reach.WATCH if ran.got_ml > bearable_ml else most
    return most


# --- what ran, and harm -----------------------------------------------------------------


def _of_delivered(seen: Evidence, finding: Finding) -> Reach:
    """The reach of what `astray`, `into_vein` and `harm` found."""
    kind, _, which = finding.id.partition(".")
    match kind:
        case "delivered":
            return _of_order(seen, which)
        case "air":
            most = seen.scenario.policy.pump.air_window_ml
            return Reach.HARM if _ml(finding) >= (most or Fraction(1)) else Reach.WATCH
        case "free-flow":
            return _of_free_flow(seen, finding, int(which.removeprefix("line-")))
        case "tissue":
            return _of_tissue(seen, which)
        case "met":
            first, second = which.split(".")
            rule = clash(seen.scenario, first, second)
            return Reach.HARM if rule is not None and rule.blocks else Reach.WATCH
    return Reach.NO_HARM


def _of_order(seen: Evidence, order_id: str) -> Reach:
    given = seen.given_of(seen.scenario.order(order_id))
    if given is None or not given.ordered_ml:
        return Reach.NO_HARM
    share = abs(given.given_ml - given.ordered_ml) / given.ordered_ml
    return by_share(seen.scenario.policy.marking, share)


def _ml(finding: Finding) -> Fraction:
    """The volume that a finding tells, in mL."""
    try:
        return parse_quantity(finding.actual).to("mL")
    except QuantityError:
        return Fraction(0)


def _of_free_flow(seen: Evidence, finding: Finding, line: int) -> Reach:
    """Free flow is watched at least, and harm from the share of what an hour should bring."""
    rates = [
        key.value
        for one in seen.stood
        if one.order.line == line and (key := seen.key(one.order, "rate")) is not None
    ]
    marking = seen.scenario.policy.marking
    share = _ml(finding) / max(rates) if rates else Fraction(0)
    return worst(Reach.WATCH, by_share(marking, share))


def _of_tissue(seen: Evidence, access_id: str) -> Reach:
    """Fluid in the tissue: harm if a drug in it kills tissue or the swelling is severe."""
    one = next((one for one in seen.states[-1].access if one.id == access_id), None)
    if one is None:
        return Reach.WATCH
    fluids = [seen.scenario.fluid(name) for name in one.tissue_fluids]
    drugs = [seen.scenario.drug(fluid.drug) for fluid in fluids if fluid.drug]
    is_vesicant = any(drug.vesicant for drug in drugs)
    return Reach.HARM if is_vesicant or one.grade >= SEVERE_GRADE else Reach.WATCH
