"""The detector's memory of small bubbles: many of them in a short while alarm together.

A bubble that alarms by itself is a matter of `happenings_flow`. One that is smaller passes;
if it is not too small to count, it is remembered for the policy's while, and when the sum
of those remembered reaches the policy's limit the pump stops. A bubble counts when its end
has passed, with all its volume.

Source of the usual setting, 1 mL in 15 minutes with bubbles under 50 microlitres not
counted: IEC 60601-2-24 as quoted by a review of air in infusion lines. All three figures
are the ward's (`scenario.model.PumpRules.air_*`).
"""

from __future__ import annotations

from math import ceil

from trainer.engine.alarms import raised
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.copying import changed
from trainer.engine.events import AirReachedDetector, BubblePassed, Event, Stopped
from trainer.engine.path import is_infusing
from trainer.engine.state import Line, State
from trainer.engine.tubing import Plugs
from trainer.scenario.model import PumpRules
from trainer.terms import AIR, AlarmKind

BY_ALARM = "alarm"


def next_end(rules: PumpRules, line: Line, path: Plugs, air_limit: int) -> int | None:
    """How much must still pass the detector until a bubble that counts has passed wholly.

    None if there is no such bubble, or if the ward's pumps do not add bubbles up. `path` is
    what comes to the pump. A bubble of `air_limit` and more is stopped, not counted.
    """
    if not rules.air_window_ml:
        return None
    least = ceil(rules.air_ignored_ml * MOTES_PER_ML)
    passed, bubble = 0, _trailing_air(line.below)
    for plug in path[:-1]:  # of what comes last, the end is not in sight
        passed += plug.volume
        if plug.fluid != AIR:
            bubble = 0
        elif max(1, least) <= bubble + plug.volume and plug.volume < air_limit:
            return passed
    return None


def _trailing_air(below: Plugs) -> int:
    """Air right behind the detector: the part of a bubble that has passed."""
    return below[-1].volume if below and below[-1].fluid == AIR else 0


def passed(state: State, line: Line, rate_ul_h: int) -> tuple[Event, ...]:
    """A bubble's end has just passed the detector, within the last millisecond."""
    volume = _just_passed(line.below, rate_ul_h)
    if not volume:
        return ()
    at_ms, number, rules = state.as_of_ms, line.number, state.scenario.policy.pump
    bubble = BubblePassed(at_ms=at_ms, line=number, volume=volume)
    in_window = volume + remembered(rules, line, at_ms)
    if in_window < ceil(rules.air_window_ml * MOTES_PER_ML):
        return (bubble,)
    stop = (Stopped(at_ms=at_ms, line=number, by=BY_ALARM),) if is_infusing(line) else ()
    air = AirReachedDetector(at_ms=at_ms, line=number, volume=in_window)
    return bubble, air, *stop, *raised(state, AlarmKind.AIR_IN_LINE, number, at_ms)


def _just_passed(below: Plugs, rate_ul_h: int) -> int:
    """The bubble next to the detector, with the drop of fluid that followed it at most."""
    behind = 0
    for plug in reversed(below):
        if plug.fluid == AIR:
            return plug.volume if behind < max(1, rate_ul_h) else 0
        behind += plug.volume
    return 0


def remembered(rules: PumpRules, line: Line, at_ms: int) -> int:
    """The sum of the bubbles that passed within the window before that moment."""
    return sum(
        volume for moment_ms, volume in line.bubbles if moment_ms > at_ms - rules.air_window_ms
    )


def with_bubble(rules: PumpRules, line: Line, event: BubblePassed) -> Line:
    """The line after a bubble has passed; those that are too long ago are forgotten."""
    kept = tuple(one for one in line.bubbles if one[0] > event.at_ms - rules.air_window_ms)
    return changed(line, bubbles=(*kept, (event.at_ms, event.volume)))
