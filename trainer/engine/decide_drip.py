"""Acts that set a flow by hand and eye: heights, the roller clamp, counting drops."""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.engine.downstream import access_at
from trainer.engine.drops import drops_in, drops_text
from trainer.engine.events import ClampTurned, Event, HeightSet, Perceived
from trainer.engine.freeing import freed_by
from trainer.engine.reading import amount_in, existing_inlet, line_of, role_of, seconds_of
from trainer.engine.refusals import require
from trainer.engine.state import State
from trainer.terms import Drive, Param, Refusal, Role, Verb, Where

Events = tuple[Event, ...]

HIGHEST_CM = 250
"""Nothing hangs higher over a bed. Chosen by us."""
THOUSANDTHS_PER_PERCENT = 10


def set_height(state: State, action: Action) -> Events:
    """Hang the container, or fix the syringe's pump, so high above the catheter."""
    line = line_of(state, action)
    above_mm = amount_in(action.get(Param.HEIGHT), "cm", "height") * 10
    require(
        0 <= above_mm <= HIGHEST_CM * 10 and above_mm.denominator == 1,
        Refusal.OUT_OF_RANGE,
        f"The height is from 0 to {HIGHEST_CM} cm above the site, such as 90 cm.",
    )
    what = "syringe" if line.drive is Drive.SYRINGE else "primary container"
    require(
        line.primary.container,
        Refusal.NOTHING_THERE,
        f"No {what} is on this line; there is nothing to raise or lower.",
    )
    access = access_at(state.access, line)
    height_mm = above_mm.numerator + (access.height_mm if access else 0)
    require(
        height_mm != line.primary.height_mm,
        Refusal.ALREADY_DONE,
        f"The {what} is at that height already.",
    )
    return (
        HeightSet(at_ms=state.as_of_ms, line=line.number, role=Role.PRIMARY, height_mm=height_mm),
    )


def turn_clamp(state: State, action: Action) -> Events:
    """Turn the primary's roller clamp to an opening; at 0 % it is closed."""
    line = line_of(state, action)
    require(
        line.drive is not Drive.SYRINGE,
        Refusal.NOTHING_THERE,
        "A syringe line has no roller clamp; use its patient clamp.",
    )
    opening = amount_in(action.get(Param.OPENING), "%", "opening") * THOUSANDTHS_PER_PERCENT
    require(
        0 <= opening <= 1_000 and opening.denominator == 1,
        Refusal.OUT_OF_RANGE,
        "The opening is from 0 to 100 % in steps of 0.1 %, such as 12.5 %.",
    )
    now = line.primary.opening if line.primary.clamp_open else 0
    freed = freed_by(state, line, Verb.OPEN_CLAMP, (Where.UPSTREAM,)) if opening else ()
    require(
        opening != now or freed,
        Refusal.ALREADY_DONE,
        "The roller clamp stands there already.",
    )
    turned = ClampTurned(at_ms=state.as_of_ms, line=line.number, opening=opening.numerator)
    return (turned, *freed)


def count_drops(state: State, action: Action) -> Events:
    """Watch a drip chamber for some seconds and count."""
    line, seconds = line_of(state, action), seconds_of(action)
    role = role_of(action) if action.get(Param.ROLE) else Role.PRIMARY
    existing_inlet(line, role)
    require(
        line.drive is not Drive.SYRINGE,
        Refusal.NOTHING_THERE,
        "A syringe line has no drip chamber; look at the syringe instead.",
    )
    text = drops_text(drops_in(state, line, role, seconds), seconds, role)
    return (Perceived(at_ms=state.as_of_ms, of="line", which=str(line.number), text=text),)


ACTS = {
    Verb.SET_HEIGHT: set_height,
    Verb.TURN_CLAMP: turn_clamp,
    Verb.COUNT_DROPS: count_drops,
}
