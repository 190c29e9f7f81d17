"""Random scripts of acts, sensible and absurd, over bedsides where much happens soon."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from tests.build import (
    MINUTE,
    SECOND,
    a_bag,
    a_block,
    a_dry_line,
    a_gravity_line,
    a_ready_line,
    a_scenario,
    a_syringe_line,
    an_event,
)
from trainer.engine.actions import Action
from trainer.scenario.model import Effect, Hydraulics, Scenario, SyringeSize, Trigger
from trainer.terms import SHAPES, AlarmKind, Drive, Happening, Role, Running, Site, Verb, Where

SMALL = (
    a_bag(volume_ml=30),
    a_bag("second-bag", "saline", 20),
    a_bag("small-bag", "sedative", 10),
    a_bag("sweet-bag", "glucose", 25),
)
TUBING: dict[str, Any] = {
    "chamber_ml": Fraction(2),
    "above_ml": Fraction(3),
    "port_ml": Fraction(1),
    "below_ml": Fraction("0.7"),
    "secondary_chamber_ml": Fraction(1),
    "secondary_ml": Fraction("1.3"),
}


def _effect(happening: Happening, **fields: Any) -> Effect:
    return Effect(happening=happening, **fields)


EVENTS = (
    a_block("bent", when=Trigger(given_ml=Fraction(3), line=1)),
    a_block("pressed", when=Trigger(at_ms=4 * MINUTE), where=Where.UPSTREAM, mend=Verb.OPEN_CLAMP),
    an_event(
        "bubble",
        Trigger(given_ml=Fraction("1.7"), line=1, role=Role.PRIMARY),
        _effect(Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.3")),
    ),
    an_event(
        "small-bubble",
        Trigger(given_ml=Fraction("0.9"), line=1, role=Role.SECONDARY),
        _effect(Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.04")),
    ),
    an_event("freed", Trigger(alarm=AlarmKind.DOWNSTREAM_OCCLUSION, delay_ms=3 * MINUTE),
             _effect(Happening.LINE_FREED, line=1)),
    an_event("swollen", Trigger(event="freed", delay_ms=MINUTE),
             _effect(Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)),
    an_event("faster", Trigger(event="bent"),
             _effect(Happening.SIGN_CHANGES, sign="heart rate", value="140")),
    an_event("answer", Trigger(after=Verb.STOP, delay_ms=10 * SECOND)),
    an_event("by-hand", Trigger(by_hand=True)),
)  # fmt: skip


DRY_LINE = a_dry_line(2, access="foot", **TUBING)


def _bedside(**changes: Any) -> Scenario:
    lines = (a_ready_line(1, **TUBING), DRY_LINE)
    given: dict[str, Any] = {
        "lines": lines,
        "supplies": SMALL,
        "ends_ms": 3 * 60 * MINUTE,
        **changes,
    }
    return a_scenario(**given)


NARROWINGS = (
    an_event(
        "pinched",
        Trigger(given_ml=Fraction("0.8"), line=1),
        _effect(Happening.LINE_NARROWS, line=1, reason="a tight strap", mend=Verb.STRAIGHTEN,
                resistance=Fraction("0.9")),
    ),
    an_event(
        "pinched-more",
        Trigger(given_ml=Fraction(2), line=1),
        _effect(Happening.LINE_NARROWS, line=1, reason="a tighter strap", mend=Verb.STRAIGHTEN,
                resistance=Fraction(9)),
    ),
    an_event("arm-up", Trigger(at_ms=2 * MINUTE),
             _effect(Happening.ARM_MOVES, access="hand", height_cm=Fraction(35))),
    an_event("arm-down", Trigger(at_ms=5 * MINUTE),
             _effect(Happening.ARM_MOVES, access="hand", height_cm=Fraction(-20))),
    an_event("cuff", Trigger(at_ms=7 * MINUTE),
             _effect(Happening.VEIN_PRESSURE_CHANGES, access="hand", pressure_mmhg=Fraction(70))),
    an_event("swollen", Trigger(at_ms=12 * MINUTE),
             _effect(Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)),
    an_event("clotted", Trigger(at_ms=25 * MINUTE),
             _effect(Happening.SITE_CHANGES, access="hand", site=Site.BLOCKED)),
    an_event("by-hand", Trigger(by_hand=True)),
)  # fmt: skip
SLOW = Hydraulics(
    set_resistance=Fraction("0.4"),
    clamp_resistance=Fraction("0.1"),
    catheter_flow=((24, Fraction(20)),),
    bottle_gas_ml=Fraction(20),
    syringes=(
        SyringeSize(
            size_ml=Fraction(20),
            compliance_ul_per_mmhg=Fraction("1.3"),
            slack_ml=Fraction("0.2"),
        ),
    ),
)
"""A ward where gravity is slow enough for small containers, and syringes give way."""
SYRINGES = tuple(replace(bag, kind="syringe") for bag in SMALL)
BOTTLES = tuple(replace(bag, kind="bottle") for bag in SMALL)
SYRINGE_LINE: dict[str, Any] = {"below_ml": Fraction("0.7")}

BEDSIDES = (
    _bedside(),
    _bedside(events=EVENTS, near_end_ms=2 * MINUTE, reminder_ms=MINUTE),
    _bedside(events=EVENTS, drop_sensor=False, at_end=Running.COMPLETE),
    _bedside(drop_sensor=False, air_alarm_ml=Fraction("0.01")),
    _bedside(reminder_ms=MINUTE),
    _bedside(
        lines=(
            a_ready_line(1, **{**TUBING, "port_ml": Fraction(0), "below_ml": Fraction(0)}),
            a_dry_line(2, access="foot", has_port=False, **TUBING),
        ),
        events=EVENTS[:3],
        drop_sensor=False,
    ),
    _bedside(lines=(a_ready_line(1, valve_works=False, **TUBING), DRY_LINE), events=EVENTS),
    _bedside(supplies=BOTTLES, drop_sensor=False),
    _bedside(events=NARROWINGS, hydraulics=SLOW),
    _bedside(
        lines=(a_ready_line(1, **TUBING), a_ready_line(2, hung="second-bag", **TUBING)),
        events=NARROWINGS,
        hydraulics=SLOW,
        closes_when_unloaded=False,
    ),
    _bedside(
        lines=(a_gravity_line(1, **TUBING), replace(DRY_LINE, drive=Drive.GRAVITY)),
        events=NARROWINGS,
        hydraulics=SLOW,
    ),
    _bedside(
        lines=(a_gravity_line(1, **TUBING), a_ready_line(2, hung="second-bag", **TUBING)),
        supplies=BOTTLES,
        events=EVENTS,
        hydraulics=SLOW,
    ),
    _bedside(
        lines=(a_syringe_line(1, hung="bag", **SYRINGE_LINE), a_syringe_line(2, access="foot")),
        supplies=SYRINGES,
        events=NARROWINGS,
        hydraulics=SLOW,
    ),
)
"""Small containers and tubing, so that within minutes they run dry, block and alarm."""

LINES = ("1", "1", "1", "1", "2")
ROLES = ("primary", "primary", "secondary")
VALUES: dict[str, tuple[str, ...]] = {
    "line": (*LINES, *LINES, *LINES, "3", ""),
    "role": (*ROLES, *ROLES, "neither"),
    "clamp": ("primary", "secondary", "patient", "patient", "nose"),
    "supply": ("bag", "second-bag", "small-bag", "sweet-bag", "ghost"),
    "order": ("maintenance", "ghost"),
    "access": ("hand", "foot", "ear"),
    "at": ("port", "access", "roof"),
    "what": ("rate",),
    "entered": ("40 mL/h", "many"),
    "volume": ("5", "2.3", "80", "0", "-1", "x"),
    "duration": ("10 min", "1 h", "", "soon"),
    "rate": ("60", "7.3", "999", "0.1", "1e9", ""),
    "seconds": ("15", "3", "none"),
    "how": ("tap up to the chamber", "draw off at the port", "hope"),
    "who": ("prescriber",),
    "text": ("words",),
    "length": ("5 min",),
    "sure": ("guess",),
    "height": ("90 cm", "40 cm", "150 cm", "-3 cm"),
    "opening": ("100 %", "40 %", "7.5 %", "0 %", "200 %"),
    "fluid": ("saline", "ghost"),
    "reason": ("asked the prescriber",),
}


def params_of(verb: Verb) -> st.SearchStrategy[dict[str, str]]:
    """Parameters for a verb: mostly sensible, now and then absurd, missing or too many."""
    shape = SHAPES[verb]
    needed = {str(param): st.sampled_from(VALUES[str(param)]) for param in shape.needs}
    may = {str(param): st.sampled_from(VALUES[str(param)]) for param in shape.may}
    if verb is Verb.ENTER:
        return st.sampled_from(
            (
                {"volume": "5", "rate": "60"},
                {"volume": "60", "rate": "120"},
                {"volume": "60", "rate": "333.3"},
                {"volume": "2.3", "rate": "999"},
                {"duration": "10 min", "rate": "7.3"},
                {"volume": "80", "duration": "1 h"},
                {"volume": "x", "rate": ""},
            )
        ).flatmap(
            lambda typed: st.fixed_dictionaries(
                {"line": st.sampled_from(LINES), "role": st.sampled_from(ROLES)}
            ).map(lambda where: {**typed, **where})
        )
    return st.fixed_dictionaries(needed, optional=may)


LIKELY = (
    Verb.ENTER, Verb.ENTER, Verb.START, Verb.START, Verb.START, Verb.START, Verb.STOP,
    Verb.OPEN_CLAMP, Verb.OPEN_CLAMP, Verb.CLOSE_CLAMP, Verb.STRAIGHTEN, Verb.STRAIGHTEN,
    Verb.RELEASE_PRESSURE, Verb.CLEAR_AIR, Verb.CLEAR_AIR, Verb.PAUSE_SOUND,
    Verb.HANG, Verb.SPIKE, Verb.FILL_CHAMBER, Verb.PRIME, Verb.TAKE_DOWN, Verb.CHOOSE,
    Verb.LOWER_PRIMARY, Verb.CONNECT, Verb.DISCONNECT, Verb.FLUSH, Verb.RESET_ALARM,
    Verb.SET_HEIGHT, Verb.TURN_CLAMP, Verb.ATTACH_SYRINGE, Verb.LOAD, Verb.UNLOAD,
    Verb.OPEN_AIR_INLET,
)  # fmt: skip


def acts() -> st.SearchStrategy[Action]:
    """Any act; those that move fluid more often."""
    verbs = st.one_of(st.sampled_from(LIKELY), st.sampled_from(tuple(Verb)))
    return verbs.flatmap(
        lambda verb: params_of(verb).map(
            lambda params: Action(
                verb, tuple(sorted((name, text) for name, text in params.items() if text))
            )
        )
    )


SECONDARY_READY: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.CHOOSE, {"supply": "small-bag"}),
    (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
    (Verb.SPIKE, {"line": "1", "role": "secondary"}),
    (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
    (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
    (Verb.PRIME, {"line": "1", "role": "secondary"}),
    (Verb.CONNECT, {"line": "1", "at": "port"}),
    (Verb.LOWER_PRIMARY, {"line": "1"}),
)
RUN: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.ENTER, {"line": "1", "role": "primary", "volume": "9", "rate": "60"}),
    (Verb.START, {"line": "1"}),
)
LONG_RUN: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.ENTER, {"line": "1", "role": "primary", "volume": "80", "rate": "333.3"}),
    (Verb.START, {"line": "1"}),
)
BOTH: tuple[tuple[Verb, dict[str, str]], ...] = (
    *SECONDARY_READY,
    *LONG_RUN,
    (Verb.ENTER, {"line": "1", "role": "secondary", "volume": "3", "rate": "100"}),
    (Verb.START, {"line": "1"}),
)
BEGINNINGS = ((), RUN, LONG_RUN, LONG_RUN, SECONDARY_READY, (*SECONDARY_READY, *RUN), BOTH)

Script = list[tuple[int, Action]]


@st.composite
def scripts(draw: st.DrawFn) -> tuple[Scenario, Script]:
    """A bedside, and acts each with the wait before it in milliseconds."""
    scenario = draw(st.sampled_from(BEDSIDES))
    begun = [
        (1_000, Action(verb, tuple(sorted(params.items()))))
        for verb, params in draw(st.sampled_from(BEGINNINGS))
    ]
    waits = st.one_of(
        st.integers(0, 5_000), st.integers(0, 3 * MINUTE), st.integers(0, 15 * MINUTE)
    )
    return scenario, begun + draw(st.lists(st.tuples(waits, acts()), max_size=20))
