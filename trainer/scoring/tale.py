"""A value's way from the order to the vein, told in a sentence or two; a near miss, praised."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.slips.names import Slip
from trainer.scenario.model import Order
from trainer.scoring import explain
from trainer.scoring.arrival import Arrival, How
from trainer.scoring.caught import Catch
from trainer.scoring.expect import DRIP_RATE
from trainer.scoring.findings import Key
from trainer.scoring.ran import Ran
from trainer.scoring.slip_words import WHEN
from trainer.scoring.tries import Tried
from trainer.terms import CaughtBy, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """All that is known of one value on its way. `fault` is why its order was to be questioned.

    `slip` is the likeliest slip behind the first wrong value, if one is known; `is_due` says
    whether the order stood to the end and was to be followed; `is_found_running`, that nothing
    had to be entered.
    """

    order: Order
    key: Key
    worked: tuple[Tried, ...]
    put: tuple[Tried, ...]
    came: Arrival
    catch: Catch
    entered: Stage | None
    fault: str
    is_due: bool
    is_found_running: bool
    runs_instead: str  # what ran on where nothing was entered: "40 mL/h"
    slip: str = ""

    @property
    def right(self) -> str:
        """The right value in words."""
        return explain.amount(self.key.value, self.key.unit)

    @property
    def wrong_worked(self) -> Tried | None:
        """The first wrong value worked out."""
        return next((one for one in self.worked if not one.is_right), None)

    @property
    def wrong_put(self) -> Tried | None:
        """The first wrong value put to the line."""
        return next((one for one in self.put if not one.is_right), None)


def sentence(way: Way) -> str:
    """The whole way in a sentence or two."""
    if way.entered is None:
        return _all_right(way)
    return explain.joined(_fault(way), _before_the_line(way), _what_became(way))


def _all_right(way: Way) -> str:
    if way.came.how is How.NOTHING_DUE:
        return "The order ended before anything was done with it; nothing of it ran."
    steps = [name for name, done in (("worked out", way.worked), (_put(way), way.put)) if done]
    done = " and ".join(steps)
    begun = f"{done[0].upper()}{done[1:]} right ({way.right})" if done else ""
    if not begun:
        begun = f"Found running as ordered ({way.right})"
    is_part = way.came.how is How.UNDER_WAY
    after = "it is not complete yet" if is_part else "it came as ordered"
    return f"{begun}, and {after}: {way.came.text}."


def _put(way: Way) -> str:
    return "set" if way.key.quantity == DRIP_RATE else "keyed"


def _fault(way: Way) -> str:
    return f"The order itself was to be questioned. {way.fault}" if way.fault else ""


def _before_the_line(way: Way) -> str:
    """How it was worked out and put to the line: `Worked out right (...), keyed as ...`."""
    if way.worked and way.put and way.wrong_worked is None and way.wrong_put is None:
        return f"Worked out and {_put(way)} right ({way.right})."
    worked, put = _worked(way), _put_words(way)
    named = way.slip and way.wrong_worked is not None
    both = ("; " if named else ", ").join(one for one in (worked, put) if one)
    return f"{both[0].upper()}{both[1:]}." if both else ""


def _worked(way: Way) -> str:
    wrong = way.wrong_worked
    if wrong is not None:
        named = _slip(way) if way.entered is Stage.CALCULATED or way.fault else ""
        return f"worked out as {wrong.text} where {way.right} is right{named}"
    return f"worked out right ({way.right})" if way.worked else ""


def _slip(way: Way) -> str:
    return f": {WHEN[Slip(way.slip)]}" if way.slip else ""


def _put_words(way: Way) -> str:
    wrong, put = way.wrong_put, _put(way)
    if wrong is None:
        if way.put or way.is_found_running:
            right = "" if way.worked and way.wrong_worked is None else f" ({way.right})"
            return f"{put} right{right}" if way.put else f"found running right{right}"
        return _not_put(way)
    if is_as_worked_out(way):
        return f"{put} as worked out"
    named = _slip(way) if way.entered is Stage.KEYED else ""
    right = "" if way.worked and way.wrong_worked is None else f" where {way.right} is right"
    return f"{put} as {wrong.text}{right}{named}"


def _not_put(way: Way) -> str:
    if not way.is_due:
        return ""
    ran_on = f"; {way.runs_instead} ran on" if way.runs_instead else ""
    return f"never {_put(way)}{ran_on}"


def is_as_worked_out(way: Way) -> bool:
    """Whether a wrong value was put to the line as it was wrongly worked out."""
    worked = [one.value for one in way.worked if not one.is_right and one.value is not None]
    put = [one.value for one in way.put if not one.is_right and one.value is not None]
    nearest = 1 if way.key.quantity == DRIP_RATE else 0  # a clamp is set to a drop
    return any(abs(one - other) <= nearest for one in put for other in worked)


# --- what became of it ------------------------------------------------------------------

CATCHERS: dict[CaughtBy, str] = {
    CaughtBy.LEARNER: "You saw it",
    CaughtBy.LIMIT: "The limit at entry stopped it and you changed it",
    CaughtBy.SECOND_CHECK: "The second check brought it out",
    CaughtBy.ALARM: "An alarm told it",
    CaughtBy.PRESCRIBER: "You asked the prescriber",
}


def _what_became(way: Way) -> str:
    if way.came.is_right is False:
        return explain.joined(_reached(way), _caught_late(way))
    if way.entered is Stage.ORDERED and any(one.started is not None for one in way.put):
        return explain.joined("It ran as it was ordered.", _caught_late(way))
    if way.catch.by is CaughtBy.NOBODY:
        if way.came.how is How.NOTHING_DUE:
            return "It was never started, so nothing reached the patient."
        return "What ran was right all the same."
    return f"{CATCHERS[way.catch.by]}{_later(way)}, before the start: nothing reached the patient."


def _later(way: Way) -> str:
    """How long after the error it was seen; nothing where a limit spoke at once."""
    wrong = way.wrong_put or way.wrong_worked
    if wrong is None or way.catch.at_ms is None or way.catch.by is CaughtBy.LIMIT:
        return ""
    later_ms = way.catch.at_ms - wrong.at_ms
    return f" {explain.span(later_ms)} later" if later_ms > 0 else ""


def _reached(way: Way) -> str:
    came, ran = way.came, way.came.ran
    if ran is None:
        return ""
    got, due = explain.rounded_ml(ran.got_ml), explain.rounded_ml(ran.due_ml)
    match came.how:
        case How.WRONG_VALUE if not ran.off_ml:
            return "It was started, but what was wrong about it had not come to the vein."
        case How.WRONG_VALUE if way.key.quantity == "volume":
            return f"It was started: {got} came by the end, {due} were due{_share(way)}."
        case How.WRONG_VALUE if came.vein_ml is not None:
            vein = f"{explain.rounded_ml(came.vein_ml)} reached the vein"
            vein = "not all of it reached the vein" if ran.is_cut else vein
            return (
                f"{_so_long(ran)} {got} left the pump where {due} were due{_share(way)}. "
                f"In that time {vein}: {came.cause}."
            )
        case How.WRONG_VALUE:
            return f"{_so_long(ran)} {got} came where {due} were due{_share(way)}."
        case How.NOT_DONE:
            begun = "In" if way.runs_instead or ran.got_ml else "It never ran: in"
            stood, why = explain.span(ran.ran_ms), f": {came.cause}" if came.cause else ""
            return f"{begun} {stood} {got} of its fluid came where {due} were due{why}."
        case How.OTHER_FLUID:
            return f"But {came.cause}: {came.text} reached the vein."
    return f"But {got} came where {due} were due{_share(way)}: {came.cause}."


def _so_long(ran: Ran) -> str:
    """How long it ran, to stand before what came; for what took too long, its first part."""
    span = explain.span(ran.ran_ms)
    return f"In its first {span}" if ran.is_cut else f"It ran for {span}:"


HARDLY = Fraction(1, 200)
"""A smaller share is 0 % in whole percent."""


def _share(way: Way) -> str:
    deviation = way.came.ran.deviation if way.came.ran else None
    if not deviation:
        return ""
    how = "too much" if deviation > 0 else "too little"
    is_hardly = abs(deviation) < HARDLY
    return f", {'hardly' if is_hardly else explain.percent(abs(Fraction(deviation)))} {how}"


def _caught_late(way: Way) -> str:
    """How an error that reached the patient was caught, and how long after its beginning."""
    if way.catch.by is CaughtBy.NOBODY or way.catch.at_ms is None:
        return "Nobody put it right." if way.came.how is not How.NOT_DONE else ""
    return f"{CATCHERS[way.catch.by]}{_later(way)}, and it was put right."


# --- praise -----------------------------------------------------------------------------


def praise(way: Way) -> str:
    """Plain, warm words for an error that was caught before it reached the patient."""
    seen = way.wrong_put or way.wrong_worked
    where = f"{seen.text} stood where {way.right} belonged" if seen else ""
    match way.catch.by:
        case CaughtBy.PRESCRIBER if way.entered is Stage.ORDERED:
            return (
                "Well done: you did not take the order on trust and asked before anything ran. "
                f"{way.fault}"
            )
        case CaughtBy.PRESCRIBER:
            return f"Well done: you asked when you were not sure, and found that {where}."
        case CaughtBy.LIMIT if way.entered is Stage.ORDERED:
            return f"Well done: the limit spoke and you did not go round it. {way.fault}"
        case CaughtBy.LIMIT:
            return (
                f"Well done: when the limit spoke you looked again, found that {where}, "
                "and changed it instead of giving a reason."
            )
        case CaughtBy.SECOND_CHECK:
            return f"Well done: you had it checked before the start, and so found that {where}."
        case CaughtBy.LEARNER | CaughtBy.ALARM:
            return (
                f"Well caught: you looked once more, saw that {where}, and put it right before "
                "anything ran."
            )
    return ""
