"""The patient's signs as they truly are now, seen or not.

A sign is what the author wrote (or is drifting to), changed by what is in the body:

    sign = (written + all changes) x all factors

held within what can be charted and rounded to the sign's step. Three signs are computed
from the fluid as well: urine, fluid balance and weight. A state must have been carried to
the moment that is asked for; a sign in words stays as it was written. Numbers are counted
in whole millionths of the sign's unit (`engine.charting`).
"""

from __future__ import annotations

from fractions import Fraction
from math import floor

from trainer.clinical.rounding import format_number
from trainer.engine import charting, view
from trainer.engine.amounts import MOTES_PER_ML, MS_PER_H
from trainer.engine.blend import pure
from trainer.engine.carry import moves_by_itself
from trainer.engine.charting import MILLION, Reading
from trainer.engine.path import flowing_inlet_of
from trainer.engine.physics import answer
from trainer.engine.physics.chain import EMPTY
from trainer.engine.state import VOLUME, DrugInBody, Plug, State
from trainer.engine.substance_figures import SubstanceFigures
from trainer.engine.substances import is_there
from trainer.engine.tubing import leading_run
from trainer.scenario.known_signs import DERIVED, UNITS
from trainer.terms import Curve, Driver

Ends = tuple[float, float]
"""The least and the most of something that varies."""

MOTES_PER_MIN = 60_000
"""What one microlitre per hour gives in a minute."""

MOTES_PER_MILLIONTH = MOTES_PER_ML // MILLION
"""Motes in a millionth of a millilitre."""

SPARE = 1_000
"""Millionths by which a sign's least and most are told too wide, for what floats leave open."""

URINE, BALANCE, WEIGHT = DERIVED


def sign_now(state: State, name: str) -> str:
    """A sign as it would be charted now, without its unit; "" if there is no such sign."""
    reading = _moved(state, name)
    return charting.written(name, reading) if reading else charted(state, name)


def number_now(state: State, name: str) -> Fraction | None:
    """A sign's number as it would be charted; of a blood pressure, the upper one.

    None if the sign is in words, or there is no such sign.
    """
    reading = _moved(state, name) or charting.reading_of(name, charted(state, name))
    return Fraction(reading[0], MILLION) if reading else None


def all_now(state: State) -> tuple[tuple[str, str], ...]:
    """Every sign of the patient's list with its text now."""
    return tuple((name, sign_now(state, name)) for name, _ in state.signs)


def seen_at_a_look(state: State) -> tuple[tuple[str, str], ...]:
    """The signs that a look at the patient shows: all that need no measuring."""
    measured = {sign.name for sign in state.scenario.patient.signs if sign.measured}
    return tuple((name, sign_now(state, name)) for name, _ in state.signs if name not in measured)


def unit_of(state: State, name: str) -> str:
    """The unit in which a sign is charted; "" if it has none."""
    for sign in state.scenario.patient.signs:
        if sign.name == name:
            return sign.unit
    return UNITS[name] if name in DERIVED else ""


def names_of(state: State) -> tuple[str, ...]:
    """Every sign that can be asked for: the patient's list, and those that are computed."""
    listed = tuple(name for name, _ in state.signs)
    return (*listed, *(name for name in DERIVED if name not in listed))


# --- as written, or drifting ----------------------------------------------------------


def charted(state: State, name: str) -> str:
    """The author's text of a sign; of a computed one without text, what it begins with."""
    for sign, text in state.signs:
        if sign == name:
            return text
    if name == WEIGHT:
        return format_number(state.scenario.patient.weight.to("kg"), plain=True)
    return "0" if name in DERIVED else ""


def undisturbed(state: State, name: str) -> Reading:
    """A sign's numbers without anything in the body: as written, or on the way there."""
    for drift in state.drifts:
        if drift.sign == name:
            since = charting.reading_of(name, drift.since)
            value = charting.reading_of(name, drift.value)
            elapsed_ms = state.as_of_ms - drift.since_ms
            return tuple(
                answer.on_the_way(start, end, elapsed_ms, drift.half_ms)
                for start, end in zip(since, value, strict=True)
            )
    return charting.reading_of(name, charted(state, name))


def _moved(state: State, name: str) -> Reading:
    """The numbers as they would be charted now; () if nothing has moved them, or for words."""
    text, drifts = charted(state, name), is_drifting(state, name)
    reading = undisturbed(state, name) if drifts else charting.reading_of(name, text)
    if not reading:
        return ()
    by, times = _moved_by(state, name)
    if name in DERIVED:
        by += _computed(state, name)
    if not by and not drifts and times == answer.UNCHANGED:
        return ()
    moved = charting.moved(reading, by)
    if times != answer.UNCHANGED:
        moved = tuple([one * times // answer.UNCHANGED for one in moved])
    return charting.rounded(moved, charting.scale_of(name, unit_of(state, name), text))


def is_drifting(state: State, name: str) -> bool:
    """Whether the sign is on its way to another value."""
    return bool(state.drifts) and any(drift.sign == name for drift in state.drifts)


# --- what the body does to it ------------------------------------------------------------


def _moved_by(state: State, name: str) -> tuple[int, int]:
    """The sum of all changes of a sign, and the product of all factors, in millionths."""
    by, times = 0, answer.UNCHANGED
    for place, number in state.figures.answering.get(name, ()):
        figures = state.figures.substances[place]
        response = figures.responses[number]
        followed = _followed(state, state.drugs[place], figures, number)
        if response.answer.curve is Curve.EXPONENTIAL:
            times = times * answer.factor(response.answer, followed) // answer.UNCHANGED
        else:
            by += answer.change(response.answer, followed)
    return by, times


def _followed(state: State, one: DrugInBody, figures: SubstanceFigures, number: int) -> float:
    """What a response answers to: amount, effect site or rate per minute, perhaps behind."""
    response = figures.responses[number]
    if response.has_lag:
        return one.lags[number]
    if response.driver is Driver.RATE:
        return _arriving_per_min(state, figures)
    is_of_site = response.driver is Driver.EFFECT_SITE and figures.has_site
    return one.site if is_of_site else one.amount


def _arriving_per_min(state: State, figures: SubstanceFigures) -> float:
    """How fast a substance reaches the vein now, in its unit per minute."""
    plugs = [
        Plug(_leaving(state, line.number), flow_ul_h * MOTES_PER_MIN)
        for line in state.lines
        if (flow_ul_h := view.vein_flow_ul_h(state, line.number))
    ]
    strengths = dict(figures.per_mote)
    arriving = EMPTY
    for plug in pure(tuple(plugs)):
        arriving += plug.volume * strengths.get(plug.fluid, EMPTY)
    return arriving


def _leaving(state: State, line_number: int) -> str:
    """What leaves a line's end now."""
    line = state.line(line_number)
    inlet = flowing_inlet_of(state.containers, line)
    return leading_run(line.below, line.above, inlet.contents)[0]


def may_move(state: State, name: str) -> bool:
    """Whether a sign may become another as time goes on, if nothing happens."""
    if name in DERIVED or is_drifting(state, name):
        return True
    flows = any(line.pump.rate_ul_h or moves_by_itself(state, line) for line in state.lines)
    return any(
        response.sign == name and (flows or is_there(one))
        for one, figures in zip(state.drugs, state.figures.substances, strict=True)
        for response in figures.responses
    )


def number_between(state: State, later: State, name: str) -> tuple[Fraction, Fraction] | None:
    """The least and the most that a sign's number can be from one state to a later one.

    For a stretch in which nothing happens and every line runs evenly: then an amount rises or
    falls all the while, and what is behind it stays between its own beginning and whatever it
    follows. None for words, and for signs that are computed from the fluid.
    """
    ends = (undisturbed(state, name), undisturbed(later, name))
    if name in DERIVED or not ends[0]:
        return None
    changes, factors = _moved_between(state, later, name)
    corners = [
        charting.moved(end, by)[0] * times // answer.UNCHANGED
        for end in dict.fromkeys(ends)
        for by in changes
        for times in dict.fromkeys(factors)
    ]
    written = charting.reading_of(name, charted(state, name))[0]
    scale = charting.scale_of(name, unit_of(state, name), charted(state, name))
    least, most = charting.rounded((min(corners) - SPARE, max(corners) + SPARE), scale)
    return Fraction(min(least, written), MILLION), Fraction(max(most, written), MILLION)


def _moved_between(
    state: State, later: State, name: str
) -> tuple[tuple[int, int], tuple[int, int]]:
    """The least and most change of a sign, and the least and greatest factor, in millionths."""
    by, times = [0, 0], [answer.UNCHANGED, answer.UNCHANGED]
    for one, then, figures in zip(state.drugs, later.drugs, state.figures.substances, strict=True):
        for number, response in enumerate(figures.responses):
            if response.sign != name:
                continue
            ends = _followed_between(state, later, (one, then), figures, number)
            if response.answer.curve is Curve.EXPONENTIAL:
                found = sorted(answer.factor(response.answer, end) for end in ends)
                times = [a * b // answer.UNCHANGED for a, b in zip(times, found, strict=True)]
            else:
                found = sorted(answer.change(response.answer, end) for end in ends)
                by = [a + b for a, b in zip(by, found, strict=True)]
    return (by[0], by[1]), (times[0], times[1])


def _followed_between(
    state: State,
    later: State,
    both: tuple[DrugInBody, DrugInBody],
    figures: SubstanceFigures,
    number: int,
) -> Ends:
    """The least and the most that a response answers to from one state to a later one."""
    response = figures.responses[number]
    own = _ends(
        *(_followed(at, one, figures, number) for at, one in zip((state, later), both, strict=True))
    )
    if response.driver is Driver.RATE:
        return own
    body = _ends(both[0].amount, both[1].amount)
    if response.driver is not Driver.EFFECT_SITE or not figures.has_site:
        return _behind(own, body)
    return _behind(own, _behind(_ends(both[0].site, both[1].site), body))


def _ends(first: float, second: float) -> Ends:
    return (first, second) if first <= second else (second, first)


def _behind(own: Ends, driver: Ends) -> Ends:
    """Between which values something lies that goes after a driver.

    As long as it is below the driver it rises, so what ends below all of it has risen only.
    """
    if own[1] <= driver[0] or own[0] >= driver[1]:
        return own
    return min(own[0], driver[0]), max(own[1], driver[1])


# --- the signs that are computed from the fluid --------------------------------------------


def _computed(state: State, name: str) -> int:
    """What fluid adds to a sign that is computed from it; nothing for any other."""
    if name == URINE:
        return _urine_of_volume(state)
    if name == BALANCE:
        return _balance(state)
    return _balance(state) // 1_000 if name == WEIGHT else 0


def _circulating(state: State) -> tuple[DrugInBody, SubstanceFigures] | None:
    """What circulates of the volume given, if the ward's formulary follows it."""
    for one, figures in zip(state.drugs, state.figures.substances, strict=True):
        if one.drug == VOLUME:
            return one, figures
    return None


def _urine_of_volume(state: State) -> int:
    """Urine in mL/h made of what leaves the circulation, in millionths."""
    circulating = _circulating(state)
    if circulating is None:
        return 0
    one, figures = circulating
    return floor(figures.urine_share * answer.per_hour(one.amount, figures.half_life_ms))


def balance_ml(state: State) -> Fraction:
    """All fluid that reached vein and tissue since the start, less the urine passed, in mL."""
    return Fraction(_balance(state), MILLION)


def _balance(state: State) -> int:
    """The same in millionths of a mL."""
    vein = sum(volume for _, volume in state.ledger.vein) // MOTES_PER_MILLIONTH
    tissue = sum(volume for _, volume in state.ledger.tissue) // MOTES_PER_MILLIONTH
    passed = urine_passed(state) // MOTES_PER_MILLIONTH
    circulating = _circulating(state)
    if circulating is not None:
        one, figures = circulating
        passed += floor(figures.urine_share * (vein - answer.exactly(one.amount)))
    return vein + tissue - passed


def urine_passed(state: State) -> int:
    """All urine at the charted rate since the start, in whole motes."""
    rate = charting.reading_of(URINE, charted(state, URINE))
    if len(rate) != 1:
        return state.urine_passed
    elapsed_ms = state.as_of_ms - state.urine_since_ms
    passed = rate[0] * elapsed_ms
    for drift in state.drifts:
        if drift.sign == URINE:
            since = charting.reading_of(URINE, drift.since)
            passed += answer.over_time(since[0] - rate[0], elapsed_ms, drift.half_ms)
    return state.urine_passed + passed * MOTES_PER_MILLIONTH // MS_PER_H
