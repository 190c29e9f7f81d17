"""More of a cause never gives less of its effect: laws of order between two runs.

Each law plays the same bedside twice, with one number larger the second time. Volumes are
whole motes, so no tolerance is needed but where a pump's alarm lets up to a millisecond's
flow more into the line.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import inf

from hypothesis import given
from hypothesis import strategies as st

from tests.build import MINUTE, SECOND, Bedside, a_bag, a_patient, a_ready_line, a_scenario
from tests.property.examples import tried
from tests.reference.at_the_line import by_hand
from trainer.engine.carry import carry
from trainer.engine.decide import inject
from trainer.engine.evolve import fold
from trainer.engine.view import flow_ul_h
from trainer.scenario.model import Access, AuthoredEvent, Hydraulics
from trainer.terms import AlarmKind, Drive, Happening, Running, Verb, Where

RATES = st.integers(1, 9_990)  # tenths of a mL/h
MOMENTS = st.integers(1, 40 * MINUTE)
COMPLIANCES = st.integers(2, 40)  # tenths of a microlitre per mmHg
ALARMS = st.integers(30, 1_000)  # mmHg
RESISTANCES = st.integers(1, 900)  # mmHg per (mL/h)
GAUGES = (14, 18, 22, 24, 26)
CATHETERS = tuple(zip(GAUGES, map(Fraction, (286, 100, 45, 20, 13)), strict=True))


def two(numbers: st.SearchStrategy[int]) -> st.SearchStrategy[tuple[int, int]]:
    """Two numbers, the smaller first."""
    return st.tuples(numbers, numbers).map(lambda pair: (min(pair), max(pair)))


def bedside(
    *, tubing: int = 15, events: tuple[AuthoredEvent, ...] = (), hydraulics: Hydraulics | None = None, line=None,
    gauge: int | None = None, **rules,
) -> Bedside:  # fmt: skip
    scenario = a_scenario(
        lines=(a_ready_line(hung="drug-bag", below_ml=Fraction(tubing, 10), **(line or {})),),
        supplies=(a_bag("drug-bag", "sedative", 5_000),),
        events=events,
        patient=a_patient(access=(Access(id="hand", name="h", kind="peripheral", gauge=gauge),)),
        drop_sensor=False,
        **rules,
    )
    if hydraulics is not None:
        scenario = replace(scenario, policy=replace(scenario.policy, hydraulics=hydraulics))
    return Bedside(scenario)


def bring(one: Bedside, name: str) -> None:
    state = carry(one.state, one.now_ms)
    events = inject(state, name, at_ms=one.now_ms, actor="instructor")
    one.state, one.log = fold(state, events), one.log + events


def run(one: Bedside, tenths: int, volume: str = "4000") -> None:
    one.run(rate=f"{tenths / 10:g}", volume=volume)
    assert not one.of_kind("Refused"), one.refusal


def in_vein(one: Bedside) -> int:
    return sum(volume for _, volume in carry(one.state, one.now_ms).ledger.vein)


def alarm_ms(one: Bedside) -> float:
    found = [at for kind, at in one.alarms() if kind is AlarmKind.DOWNSTREAM_OCCLUSION]
    return found[0] if found else inf


def narrowing(resistance: int):
    return by_hand(
        "narrow", happening=Happening.LINE_NARROWS, line=1, reason="r",
        resistance=Fraction(resistance), mend=Verb.STRAIGHTEN,
    )  # fmt: skip


BEND = by_hand("bend", happening=Happening.LINE_BLOCKED, line=1, where=Where.DOWNSTREAM, reason="r")
VEIN_RISES = by_hand(
    "rise", happening=Happening.VEIN_PRESSURE_CHANGES, access="hand", pressure_mmhg=Fraction(60)
)


@tried(60)
@given(two(RATES), MOMENTS, st.booleans())
def test_a_higher_rate_never_gives_less_into_the_vein_by_any_time(rates, moment, rises):
    given_in = []
    for rate in rates:
        one = bedside(events=(VEIN_RISES,), pressure_alarm_mmhg=Fraction(2_000))
        if rises:
            bring(one, "rise")
        run(one, rate)
        one.wait(moment)
        given_in.append(in_vein(one))
    assert given_in[0] <= given_in[1]


def blocked_alarm(rate: int, *, block: str = "bend", compliance: int = 12, alarm: int = 400,
                  resistance: int = 50) -> float:  # fmt: skip
    one = bedside(
        events=(BEND, narrowing(resistance)),
        compliance_below_ul_per_mmhg=Fraction(compliance, 10),
        pressure_alarm_mmhg=Fraction(10 + alarm),
    )
    run(one, rate)
    one.wait(SECOND)
    bring(one, block)
    one.wait(40 * MINUTE)
    return alarm_ms(one)


BLOCKS = st.sampled_from(("bend", "narrow"))


@tried(60)
@given(two(RATES), BLOCKS, COMPLIANCES, ALARMS, RESISTANCES)
def test_a_higher_rate_never_alarms_later(rates, block, compliance, alarm, resistance):
    slow, fast = (
        blocked_alarm(rate, block=block, compliance=compliance, alarm=alarm, resistance=resistance)
        for rate in rates
    )
    assert fast <= slow


@tried(60)
@given(RATES, BLOCKS, COMPLIANCES, two(ALARMS), RESISTANCES)
def test_a_higher_threshold_never_alarms_earlier(rate, block, compliance, alarms, resistance):
    low, high = (
        blocked_alarm(rate, block=block, compliance=compliance, alarm=alarm, resistance=resistance)
        for alarm in alarms
    )
    assert low <= high


@tried(60)
@given(RATES, BLOCKS, two(COMPLIANCES), ALARMS, RESISTANCES)
def test_a_softer_line_never_alarms_earlier(rate, block, compliances, alarm, resistance):
    stiff, soft = (
        blocked_alarm(rate, block=block, compliance=one, alarm=alarm, resistance=resistance)
        for one in compliances
    )
    assert stiff <= soft


@tried(60)
@given(RATES, two(RESISTANCES), MOMENTS)
def test_a_tighter_narrowing_never_lets_more_through_nor_alarms_later(rate, resistances, moment):
    through, alarms = [], []
    for resistance in resistances:
        one = bedside(events=(narrowing(resistance),))
        bring(one, "narrow")
        run(one, rate)
        one.wait(moment)
        through.append(in_vein(one))
        alarms.append(alarm_ms(one))
    a_millisecond_and_rounding = rate * 100 + 2
    assert through[1] <= through[0] + a_millisecond_and_rounding
    assert alarms[1] <= alarms[0]


def gravity_flow(
    *, height_cm: int = 90, opening: int = 1000, gauge: int = 22, vein: int = 10,
    set_u: int = 12, clamp_u: int = 20,
) -> int:  # fmt: skip
    hydraulics = Hydraulics(
        container_height_cm=Fraction(height_cm),
        set_resistance=Fraction(set_u, 1000),
        clamp_resistance=Fraction(clamp_u, 1000),
        catheter_flow=CATHETERS,
    )
    one = bedside(
        hydraulics=hydraulics,
        gauge=gauge,
        line={"drive": Drive.GRAVITY, "opening": Fraction(opening, 1000)},
        resting_pressure_mmhg=Fraction(vein),
    )
    return flow_ul_h(one.state, 1)


HEIGHTS, OPENINGS = st.integers(0, 200), st.integers(1, 1000)
GAUGE, VEIN, PER_MILLE = st.sampled_from(GAUGES), st.integers(0, 40), st.integers(1, 500)


@tried(60)
@given(two(HEIGHTS), OPENINGS, GAUGE, VEIN)
def test_a_higher_container_never_flows_less(heights, opening, gauge, vein):
    low, high = (
        gravity_flow(height_cm=height, opening=opening, gauge=gauge, vein=vein)
        for height in heights
    )
    assert 0 <= low <= high


@tried(60)
@given(HEIGHTS, two(OPENINGS), GAUGE, VEIN)
def test_a_clamp_opened_further_never_flows_less(height, openings, gauge, vein):
    less, more = (
        gravity_flow(height_cm=height, opening=opening, gauge=gauge, vein=vein)
        for opening in openings
    )
    assert less <= more


@tried(60)
@given(HEIGHTS, OPENINGS, two(st.integers(0, len(GAUGES) - 1)), two(PER_MILLE), two(VEIN))
def test_more_in_the_way_never_flows_more(height, opening, gauges, sets, veins):
    wide, narrow = (
        gravity_flow(
            height_cm=height, opening=opening, gauge=GAUGES[gauges[end]],
            set_u=sets[end], vein=veins[end],
        )
        for end in (0, 1)
    )  # fmt: skip
    assert narrow <= wide


@tried(60)
@given(two(st.integers(1, 500)), RATES, MOMENTS)
def test_a_larger_dose_never_gives_a_lower_level(tenths_ml, rate, moment):
    amounts = []
    for volume in tenths_ml:
        one = bedside(at_end=Running.COMPLETE)
        run(one, rate, volume=f"{volume / 10:g}")
        one.wait(moment)
        amounts.append(carry(one.state, one.now_ms).drugs[0].amount)
    assert amounts[0] <= amounts[1] * (1 + 1e-12)
