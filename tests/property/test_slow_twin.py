"""The engine against its slow twin: volumes, alarm times and air within a stated tolerance.

The twin walks in steps of a quarter of a second, so each event may come one step later
than in the engine, and what flows in that step (at most 0.03 mL at 400 mL/h) may lie on
the other side. Tolerances: 1 s for an alarm, 0.15 mL for a volume (a few events).
"""

from __future__ import annotations

from fractions import Fraction

from hypothesis import assume, example, given
from hypothesis import strategies as st

from tests.build import SECOND, Bedside, a_bag, a_block, a_ready_line, a_scenario, an_event
from tests.property.examples import tried
from tests.property.slow_twin import AIR, Source, Tube, Twin
from trainer.engine.amounts import ml_from_motes
from trainer.engine.carry import carry
from trainer.scenario.model import AuthoredEvent, Effect, Trigger
from trainer.terms import Happening, Verb, Where

TIME_TOLERANCE_S = 1
VOLUME_TOLERANCE_ML = 0.15

PRIMARY_ML, SECONDARY_ML = 60, 12
CHAMBER, ABOVE, PORT, BELOW = Fraction(2), Fraction(6), Fraction(2), Fraction("1.5")
SECONDARY_CHAMBER, SECONDARY_TUBE = Fraction(1), Fraction(3)

Step = tuple[int, str, dict[str, str]]


def engine_bedside(
    *, drop_sensor: bool, events: tuple[AuthoredEvent, ...] = (), valve_works: bool = True
) -> Bedside:
    """Line 1 ready, the secondary primed and on the port, the primary lowered."""
    line = a_ready_line(
        chamber_ml=CHAMBER,
        above_ml=ABOVE,
        port_ml=PORT,
        below_ml=BELOW,
        secondary_chamber_ml=SECONDARY_CHAMBER,
        secondary_ml=SECONDARY_TUBE,
        valve_works=valve_works,
    )
    supplies = (a_bag(volume_ml=PRIMARY_ML), a_bag("small-bag", "sedative", SECONDARY_ML))
    bedside = Bedside(
        a_scenario(lines=(line,), supplies=supplies, drop_sensor=drop_sensor, events=events)
    )
    for verb, params in (
        (Verb.CHOOSE, {"supply": "small-bag"}),
        (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
        (Verb.SPIKE, {"line": "1", "role": "secondary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
        (Verb.PRIME, {"line": "1", "role": "secondary"}),
        (Verb.CONNECT, {"line": "1", "at": "port"}),
        (Verb.LOWER_PRIMARY, {"line": "1"}),
    ):
        bedside.do(verb, **params)
    assert not bedside.of_kind("Refused")
    return bedside


def twin_bedside(*, drop_sensor: bool, valve_works: bool = True) -> Twin:
    """The same, said to the twin in its own words. Resistances: the ward's, mmHg per mL/h."""
    secondary_left = float(SECONDARY_ML - SECONDARY_CHAMBER - SECONDARY_TUBE)
    return Twin(
        primary=Source(
            "saline", float(PRIMARY_ML), float(CHAMBER), Tube(float(ABOVE - PORT), "saline"), 0.012
        ),
        secondary=Source(
            "sedative",
            secondary_left,
            float(SECONDARY_CHAMBER),
            Tube(float(SECONDARY_TUBE), "sedative"),
            0.1,
        ),
        above=Tube(float(PORT), "saline"),
        below=Tube(float(BELOW), "saline"),
        pressure_rise=400.0,
        suction_fall=100.0,
        compliance_below=0.0012,
        compliance_above=0.0015,
        air_limit=0.1,
        keep_open_rate=3.0,
        drop_sensor=drop_sensor,
        valve_works=valve_works,
    )


def play_engine(bedside: Bedside, script: list[Step]) -> None:
    for wait_s, what, params in script:
        bedside.wait(wait_s * SECOND)
        if what == "run":
            bedside.run(params["rate"], params["volume"], role=params["role"])
        elif what == "resume":
            bedside.do(Verb.START, line="1")
        else:
            bedside.do(Verb(what), line="1", **params)


def play_twin(twin: Twin, script: list[Step]) -> None:
    moment = 0.0
    for wait_s, what, params in script:
        moment += wait_s
        twin.run_until(moment)
        do_at_twin(twin, what, params)
        twin.settle()


def do_at_twin(twin: Twin, what: str, params: dict[str, str]) -> None:
    if what in ("run", "resume"):
        if may_start(twin) and what == "run":
            twin.start(params["role"], float(params["volume"]), float(params["rate"]))
        elif may_start(twin):
            twin.resume()
    elif what == "stop":
        twin.stop()
    elif what in ("open clamp", "close clamp"):
        move_clamp(twin, params["clamp"], is_open=what == "open clamp")
    elif what in ("lower primary", "raise primary"):
        twin.lowered = what == "lower primary"


def may_start(twin: Twin) -> bool:
    """The pump does not start on air, nor on an empty primary with nothing else to flow."""
    dry = twin.source() is twin.primary and twin.primary.left <= 1e-9
    return not dry and not twin.told_air


def move_clamp(twin: Twin, clamp: str, *, is_open: bool) -> None:
    if clamp == "patient":
        twin.patient_clamp_open = is_open
    else:
        getattr(twin, clamp).clamp_open = is_open


def compare(bedside: Bedside, twin: Twin) -> None:
    state = carry(bedside.state, bedside.now_ms)
    engine_alarms = [(kind.value, at_ms / 1000) for kind, at_ms in bedside.alarms()]
    assert [kind for kind, _ in engine_alarms] == [kind for kind, _ in twin.alarms]
    for (_, ours), (_, theirs) in zip(engine_alarms, twin.alarms, strict=True):
        assert abs(ours - theirs) <= TIME_TOLERANCE_S
    vein = dict(state.ledger.vein)
    for fluid in ("saline", "sedative"):
        ours = float(ml_from_motes(vein.get(fluid, 0)))
        assert abs(ours - twin.vein[fluid]) <= VOLUME_TOLERANCE_ML
    air = float(ml_from_motes(state.ledger.air_in_vein))
    assert abs(air - twin.vein[AIR]) <= VOLUME_TOLERANCE_ML
    for supply, source in (("bag", twin.primary), ("small-bag", twin.secondary)):
        left = float(ml_from_motes(state.container(supply).left))
        assert abs(left - source.left) <= VOLUME_TOLERANCE_ML
    line = state.line(1)
    assert abs(float(ml_from_motes(line.stored)) - twin.stored) <= VOLUME_TOLERANCE_ML
    assert abs(float(ml_from_motes(line.drawn)) - twin.drawn) <= VOLUME_TOLERANCE_ML


def no_happening_close_to_an_act(bedside: Bedside) -> bool:
    """Where both fall within a few steps, the twin may take them in the other order."""
    acted = bedside.happened("Acted")
    by_time = [
        event.at_ms
        for event in bedside.log
        if type(event).__name__
        in ("VolumeComplete", "ContainerEmptied", "ChamberDrained", "Stopped", "AlarmRaised")
        and getattr(event, "by", "") != "learner"
    ]
    return all(abs(moment - act) > 2 * SECOND for moment in by_time for act in acted if act)


def agree(script: list[Step], *, drop_sensor: bool, valve_works: bool = True) -> None:
    bedside = engine_bedside(drop_sensor=drop_sensor, valve_works=valve_works)
    play_engine(bedside, script)
    assume(no_happening_close_to_an_act(bedside))
    twin = twin_bedside(drop_sensor=drop_sensor, valve_works=valve_works)
    play_twin(twin, script)
    compare(bedside, twin)


RUN_PRIMARY = {"role": "primary", "rate": "120", "volume": "50"}
RUN_SECONDARY = {"role": "secondary", "rate": "200", "volume": "6"}
END: Step = (400, "stop", {})

WAITS = st.integers(3, 250)
ACTS: st.SearchStrategy[Step] = st.one_of(
    st.tuples(
        WAITS,
        st.just("run"),
        st.fixed_dictionaries(
            {
                "role": st.sampled_from(("primary", "secondary")),
                "rate": st.sampled_from(("30", "87.3", "120", "400")),
                "volume": st.sampled_from(("3", "6.1", "50")),
            }
        ),
    ),
    st.tuples(WAITS, st.just("resume"), st.just({})),
    st.tuples(WAITS, st.just("stop"), st.just({})),
    st.tuples(
        WAITS,
        st.sampled_from(("open clamp", "close clamp")),
        st.fixed_dictionaries({"clamp": st.sampled_from(("primary", "secondary", "patient"))}),
    ),
    st.tuples(WAITS, st.sampled_from(("lower primary", "raise primary")), st.just({})),
)


@tried(60)
@given(st.lists(ACTS, min_size=2, max_size=9), st.booleans())
@example([(5, "run", RUN_PRIMARY), (60, "run", RUN_SECONDARY), (900, "resume", {})], True)
@example([(5, "run", RUN_SECONDARY), (1500, "resume", {}), (900, "stop", {})], False)
@example(
    [
        (5, "run", RUN_PRIMARY),
        (30, "close clamp", {"clamp": "patient"}),
        (60, "open clamp", {"clamp": "patient"}),
        (5, "resume", {}),
        (30, "close clamp", {"clamp": "primary"}),
        (5, "close clamp", {"clamp": "secondary"}),
        (60, "open clamp", {"clamp": "primary"}),
        (5, "resume", {}),
    ],
    True,
)
@example([(5, "run", RUN_PRIMARY), (200, "raise primary", {}), (2400, "stop", {})], False)
def test_engine_and_twin_agree_over_random_runs(script, drop_sensor):
    agree([*script, END], drop_sensor=drop_sensor)


@tried(40)
@given(st.lists(ACTS, min_size=2, max_size=7))
@example([(5, "run", RUN_PRIMARY), (60, "stop", {}), (60, "resume", {})])
@example([(60, "run", RUN_PRIMARY), (200, "raise primary", {}), (300, "stop", {})])
def test_engine_and_twin_agree_when_the_check_valve_is_stuck(script):
    agree([*script, END], drop_sensor=True, valve_works=False)


@tried(40)
@given(
    st.integers(20, 300),
    st.sampled_from(("30", "87.3", "120", "400")),
    st.sampled_from((Where.UPSTREAM, Where.DOWNSTREAM)),
    st.integers(3, 300),
)
def test_engine_and_twin_agree_when_the_line_is_blocked(block_s, rate, where, mend_s):
    block = a_block("bent", when=Trigger(at_ms=block_s * SECOND), where=where)
    bedside = engine_bedside(drop_sensor=True, events=(block,))
    twin = twin_bedside(drop_sensor=True)
    script: list[Step] = [(0, "run", {**RUN_PRIMARY, "rate": rate})]
    play_engine(bedside, script)
    play_twin(twin, script)
    twin.run_until(block_s)
    if where is Where.DOWNSTREAM:
        twin.bent_below = True
    else:
        twin.bent_above = True
    twin.run_until(block_s + mend_s)
    bedside.wait((block_s + mend_s) * SECOND)
    assume(all(abs(at_ms - bedside.now_ms) > 2 * SECOND for _, at_ms in bedside.alarms()))
    bedside.do(Verb.STRAIGHTEN, line="1")
    twin.bent_below = twin.bent_above = False
    twin.settle()
    compare(bedside, twin)


@tried(40)
@given(st.integers(5, 100), st.sampled_from(("0.04", "0.09", "0.3", "1.2")))
def test_engine_and_twin_agree_when_air_enters(enter_s, volume_ml):
    effect = Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction(volume_ml))
    event = an_event("bubble", Trigger(at_ms=enter_s * SECOND), effect)
    bedside = engine_bedside(drop_sensor=True, events=(event,))
    bedside.do(Verb.RAISE_PRIMARY, line="1")
    twin = twin_bedside(drop_sensor=True)
    twin.lowered = False
    script: list[Step] = [(0, "run", RUN_PRIMARY)]
    play_engine(bedside, script)
    play_twin(twin, script)
    twin.run_until(enter_s)
    let_air_in(twin, float(volume_ml))
    twin.run_until(600)
    bedside.wait(600 * SECOND)
    compare(bedside, twin)


def let_air_in(twin: Twin, volume: float) -> None:
    """Air at the join; as much from the primary's tubing goes back into its container."""
    tube = twin.primary.tube
    for piece in reversed(twin.above.pieces):
        assert piece[0] != AIR
    moved = twin.above.take(float(PORT) - volume)
    rest = twin.above.take(float(PORT))
    ahead = Tube(0, AIR)
    for fluid, part in moved:
        ahead.put(fluid, part)
    ahead.put(AIR, volume)
    twin.above = ahead
    for fluid, part in reversed(rest):
        tube.pieces.insert(0, [fluid, part])
    tube.pieces[-1][1] -= volume
    twin.primary.left += volume
