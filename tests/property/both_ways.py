"""One bedside told twice, to the engine and to the twin of differential equations.

`Pair` does each act at the engine and, unless it was refused there, at the twin; `compare`
holds the two against each other to one part in a million. Nothing of physics is here.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from tests.build import Bedside, a_bag, a_patient, a_ready_line, a_scenario, an_event
from tests.property.ode_twin import Answer, Source, Substance, Tube, Twin
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.engine.decide import inject
from trainer.engine.evolve import fold
from trainer.engine.signs import number_now
from trainer.engine.state import VOLUME, State
from trainer.engine.view import pressure_mmhg
from trainer.scenario.model import (
    AuthoredEvent,
    Circulation,
    Drug,
    Effect,
    Hydraulics,
    Response,
    Scenario,
    Sign,
    SyringeSize,
    Trigger,
)
from trainer.terms import AIR, Curve, Drive, Driver, Happening, Verb, Where

ONE_IN_A_MILLION = 1e-6
Step = tuple[int, str, Any]
"""Milliseconds to wait, what is done then, and its value."""

CHAMBER, ABOVE, PORT, BELOW = Fraction(2), Fraction(6), Fraction(2), Fraction("1.5")
SECONDARY_CHAMBER, SECONDARY_TUBE = Fraction(1), Fraction(3)
COMPLIANCE_UL, RESTING, ALARM = Fraction("1.2"), Fraction(10), Fraction(410)
SUCTION, COMPLIANCE_ABOVE_UL = Fraction(100), Fraction("1.5")
SET, SECONDARY_SET, CATHETER = Fraction("0.012"), Fraction("0.1"), Fraction("0.06")
STRENGTH = 2.0  # mg per mL of the sedative of tests.build
WEIGHT_KG = DRUG_L = 16.0  # a litre of distribution for each kilogram
HALF_LIFE_MS, EFFECT_SITE_HALF_MS, CIRCULATES_MS = 37 * 60_000, 420_000, 50 * 60_000
SYRINGE = SyringeSize(
    size_ml=Fraction(50), compliance_ul_per_mmhg=Fraction("2.5"), slack_ml=Fraction("0.2")
)

HYDRAULICS = Hydraulics(
    set_resistance=SET,
    secondary_resistance=SECONDARY_SET,
    catheter_flow=((24, Fraction("73.556") / (CATHETER * 60)),),
    syringes=(SYRINGE,),
)
RESPONSES = (
    Response(
        sign="heart rate", most=Fraction(-40), curve=Curve.SATURATING,
        half_at=Fraction(1), steepness=2, lag_ms=190_000,
    ),
    Response(
        sign="breathing", most=Fraction(-3), driver=Driver.EFFECT_SITE, lag_ms=61_000,
    ),
    Response(sign="temperature", most=Fraction("0.2"), driver=Driver.RATE, lag_ms=83_000),
)  # fmt: skip
CIRCULATION = Circulation(
    half_life_ms=CIRCULATES_MS,
    urine_share=Fraction(1, 2),
    responses=(Response(sign="capillary refill", most=Fraction("-0.2"), lag_ms=120_000),),
)
SIGNS = (
    Sign(name="heart rate", value="112", unit="/min"),
    Sign(name="breathing", value="24", unit="/min"),
    Sign(name="temperature", value="37.1", unit="C"),
    Sign(name="capillary refill", value="3", unit="s"),
)

NARROWINGS = {"narrow": 10.0, "narrow-more": 60.0, "narrow-most": 400.0}
VEINS = {"vein-high": 45.0, "vein-low": 2.0}
ARMS = {"arm-up": 150.0, "arm-down": -250.0}
BEGINS_MM = float(HYDRAULICS.container_height_cm) * 10
BENT = "the tubing is bent"


def the_events() -> tuple[AuthoredEvent, ...]:
    """Everything that the instructor can bring, each by hand and twice."""
    made: dict[str, Effect] = {
        "bend": _effect(Happening.LINE_BLOCKED, where=Where.DOWNSTREAM, mend=Verb.STRAIGHTEN),
        "bend-above": _effect(Happening.LINE_BLOCKED, where=Where.UPSTREAM, mend=Verb.STRAIGHTEN),
        "stick": _effect(Happening.VALVE_STICKS),
    }
    for name, resistance in NARROWINGS.items():
        made[name] = _effect(
            Happening.LINE_NARROWS, resistance=Fraction(resistance), mend=Verb.STRAIGHTEN
        )
    for name, pressure in VEINS.items():
        made[name] = Effect(
            happening=Happening.VEIN_PRESSURE_CHANGES, access="hand",
            pressure_mmhg=Fraction(pressure),
        )  # fmt: skip
    for name, height in ARMS.items():
        made[name] = Effect(
            happening=Happening.ARM_MOVES, access="hand", height_cm=Fraction(height) / 10
        )
    return tuple(
        an_event(f"{name}{turn}", Trigger(by_hand=True), effect)
        for name, effect in made.items()
        for turn in ("", "-again")
    )


def _effect(happening: Happening, **fields: Any) -> Effect:
    return Effect(happening=happening, line=1, reason=BENT, **fields)


def the_scenario(*, hung: str = "bag", **line_changes: Any) -> Scenario:
    """One line of small tubing, one drug with an effect site, four signs that answer."""
    line = a_ready_line(
        hung=hung,
        chamber_ml=CHAMBER,
        above_ml=ABOVE,
        port_ml=PORT,
        below_ml=BELOW,
        secondary_chamber_ml=SECONDARY_CHAMBER,
        secondary_ml=SECONDARY_TUBE,
        **line_changes,
    )
    scenario = a_scenario(
        lines=(line,),
        supplies=(
            a_bag(volume_ml=500),
            a_bag("drug-bag", "sedative", 500),
            a_bag("small-bag", "sedative", 24),
            a_bag("syringe", "sedative", 50, kind="syringe", size_ml=Fraction(50)),
        ),
        events=the_events(),
        patient=a_patient(signs=SIGNS),
        compliance_below_ul_per_mmhg=COMPLIANCE_UL,
        compliance_above_ul_per_mmhg=COMPLIANCE_ABOVE_UL,
        resting_pressure_mmhg=RESTING,
        pressure_alarm_mmhg=ALARM,
        suction_alarm_mmhg=SUCTION,
        drop_sensor=False,
    )
    drug = Drug(
        id="sedative",
        name="an invented sedative",
        half_life_ms=HALF_LIFE_MS,
        volume_l_per_kg=Fraction(1),
        effect_site_half_ms=EFFECT_SITE_HALF_MS,
        responses=RESPONSES,
    )
    return replace(
        scenario,
        policy=replace(scenario.policy, hydraulics=HYDRAULICS),
        formulary=replace(scenario.formulary, drugs=(drug,), circulation=CIRCULATION),
    )


def the_substances() -> tuple[Substance, ...]:
    drug = Substance(
        half_life_s=HALF_LIFE_MS / 1000,
        effect_half_s=EFFECT_SITE_HALF_MS / 1000,
        answers=tuple(Answer(one.driver.value, one.lag_ms / 1000) for one in RESPONSES),
    )
    volume = Substance(
        half_life_s=CIRCULATES_MS / 1000,
        answers=tuple(Answer(r.driver.value, r.lag_ms / 1000) for r in CIRCULATION.responses),
        of_drug=False,
    )
    return drug, volume


def the_twin(*, drug_everywhere: bool, secondary: bool = False) -> Twin:
    """The same bedside in the twin's words."""
    share = 1.0 if drug_everywhere else 0.0
    second = None
    if secondary:
        left = 24 - float(SECONDARY_CHAMBER + SECONDARY_TUBE)
        second = Source(left, float(SECONDARY_CHAMBER), Tube(float(SECONDARY_TUBE), 1.0), share=1.0)
    return Twin(
        primary=Source(500.0, float(CHAMBER), Tube(float(ABOVE - PORT), share), share=share),
        secondary=second,
        above=Tube(float(PORT), share),
        below=Tube(float(BELOW), share),
        compliance=float(COMPLIANCE_UL) / 1000,
        resting=float(RESTING),
        pressure_alarm=float(ALARM),
        suction_most=float(COMPLIANCE_ABOVE_UL * SUCTION) / 1000,
        keep_open=3.0,
        strength=STRENGTH,
        substances=the_substances(),
        catheter=float(CATHETER),
        set_resistance=float(SET),
        secondary_resistance=float(SECONDARY_SET),
    )


class Pair:
    """The engine's bedside and its twin, moved together."""

    def __init__(self, bedside: Bedside, twin: Twin, *, begins_ms: int = 0) -> None:
        self.bedside, self.twin = bedside, twin
        self.skip_ms = bedside.now_ms
        assert begins_ms == self.skip_ms

    def wait(self, length_ms: int) -> None:
        self.bedside.wait(length_ms)
        self.twin.run_until((self.bedside.now_ms - self.skip_ms) / 1000)

    def play(self, script: list[Step]) -> None:
        for wait_ms, what, value in script:
            self.wait(wait_ms)
            compare(self.now, self.twin)
            self.do(what, value)
            self.twin.settle()

    @property
    def now(self) -> State:
        return carry(self.bedside.state, self.bedside.now_ms)

    def do(self, what: str, value: Any) -> None:
        """An act, or something that comes; at the twin only if the engine let it be."""
        if what == "come":
            self._bring(value)
        elif self._done_at_the_engine(what, value):
            AT_THE_TWIN[what](self.twin, value)

    def _done_at_the_engine(self, what: str, value: Any) -> bool:
        before = len(self.bedside.of_kind("Refused"))
        for verb, params in AT_THE_ENGINE[what](value):
            self.bedside.do(verb, **params)
        return len(self.bedside.of_kind("Refused")) == before

    def _bring(self, name: str) -> None:
        bedside = self.bedside
        waiting = {one.id for one in bedside.state.events if one.came_ms is None}
        event = name if name in waiting else f"{name}-again"
        if event not in waiting:
            return
        state = carry(bedside.state, bedside.now_ms)
        brought = inject(state, event, at_ms=bedside.now_ms, actor="instructor")
        bedside.state = fold(state, brought)
        bedside.log += brought
        it_comes(self.twin, name)


def it_comes(twin: Twin, name: str) -> None:
    if name == "bend":
        twin.blocked_below = True
    elif name == "bend-above":
        twin.blocked_above = True
    elif name == "stick":
        twin.valve_works = False
    elif name in NARROWINGS:
        twin.narrowing = NARROWINGS[name]
    elif name in VEINS:
        twin.vein_pressure = VEINS[name]
    else:
        twin.arm_mm = ARMS[name]


def _acts(verb: Verb, **params: str):
    return lambda _value: [(verb, {"line": "1", **params})]


def _run(value: tuple[str, str, str]) -> list[tuple[Verb, dict[str, str]]]:
    role, volume, rate = value
    entered = {"line": "1", "role": role, "volume": volume, "rate": rate}
    return [(Verb.ENTER, entered), (Verb.START, {"line": "1"})]


AT_THE_ENGINE = {
    "run": _run,
    "start": _acts(Verb.START),
    "stop": _acts(Verb.STOP),
    "clamp shut": lambda clamp: [(Verb.CLOSE_CLAMP, {"line": "1", "clamp": clamp})],
    "clamp open": lambda clamp: [(Verb.OPEN_CLAMP, {"line": "1", "clamp": clamp})],
    "straighten": _acts(Verb.STRAIGHTEN),
    "lower": _acts(Verb.LOWER_PRIMARY),
    "raise": _acts(Verb.RAISE_PRIMARY),
    "release": _acts(Verb.RELEASE_PRESSURE),
    "flush": lambda volume: [(Verb.FLUSH, {"line": "1", "volume": volume})],
    "height": lambda cm: [(Verb.SET_HEIGHT, {"line": "1", "height": f"{cm} cm"})],
}


def _clamp(twin: Twin, clamp: str, *, is_open: bool) -> None:
    if clamp == "patient":
        twin.patient_clamp_open = is_open
    elif clamp == "primary":
        twin.primary.clamp_open = is_open
    elif twin.secondary is not None:
        twin.secondary.clamp_open = is_open


def _straighten(twin: Twin, _value: Any) -> None:
    twin.blocked_below = twin.blocked_above = False
    twin.narrowing = 0.0


def _lowered(twin: Twin, *, lowered: bool) -> None:
    twin.lowered = lowered


def _run_twin(twin: Twin, value: tuple[str, str, str]) -> None:
    twin.run(value[0], float(value[1]), float(value[2]))


def _height(twin: Twin, cm: str) -> None:
    """Heights count from the site; a syringe's pump begins where a container hangs."""
    twin.syringe_mm = float(cm) * 10 - BEGINS_MM


AT_THE_TWIN = {
    "run": _run_twin,
    "start": lambda twin, _: twin.resume(),
    "stop": lambda twin, _: twin.stop(),
    "clamp shut": lambda twin, clamp: _clamp(twin, clamp, is_open=False),
    "clamp open": lambda twin, clamp: _clamp(twin, clamp, is_open=True),
    "straighten": _straighten,
    "lower": lambda twin, _: _lowered(twin, lowered=True),
    "raise": lambda twin, _: _lowered(twin, lowered=False),
    "release": lambda twin, _: twin.release(),
    "flush": lambda twin, volume: twin.flush(float(volume)),
    "height": _height,
}


SECONDARY_READY: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.CHOOSE, {"supply": "small-bag"}),
    (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
    (Verb.SPIKE, {"line": "1", "role": "secondary"}),
    (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
    (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
    (Verb.PRIME, {"line": "1", "role": "secondary"}),
    (Verb.CLOSE_CLAMP, {"line": "1", "clamp": "secondary"}),
    (Verb.CONNECT, {"line": "1", "at": "port"}),
    (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
)


def a_plain_pair() -> Pair:
    """One drug bag alone, its drug in the whole line."""
    return Pair(Bedside(the_scenario(hung="drug-bag")), the_twin(drug_everywhere=True))


def a_pair_with_secondary() -> Pair:
    """Saline, with the drug in a small bag on the port."""
    bedside = Bedside(the_scenario())
    for verb, params in SECONDARY_READY:
        bedside.do(verb, **params)
    assert not bedside.of_kind("Refused"), bedside.refusal
    return Pair(bedside, the_twin(drug_everywhere=False, secondary=True))


def a_syringe_pair() -> Pair:
    """A syringe put into its pump anew, so that its slack is not taken up."""
    bedside = Bedside(the_scenario(hung="syringe", drive=Drive.SYRINGE, has_port=False))
    for verb in (Verb.UNLOAD, Verb.LOAD):
        bedside.do(verb, line="1")
    twin = the_twin(drug_everywhere=True)
    twin.compliance = float(SYRINGE.compliance_ul_per_mmhg) / 1000
    twin.above = Tube(0.0)
    twin.primary.tube = Tube(0.0)
    twin.primary.chamber = 0.0
    twin.primary.left = 50.0
    twin.slack = float(SYRINGE.slack_ml)
    return Pair(bedside, twin)


# --- holding them against each other ------------------------------------------------


def ml(motes: int) -> float:
    return motes / MOTES_PER_ML


def compare(state: State, twin: Twin) -> None:
    """Volumes, pressure, amounts and what the signs answer to."""
    line = state.line(1)
    close("pumped", ml(line.pump.total), twin.pumped)
    close("stored below", ml(line.stored), twin.stored)
    close("drawn above", ml(line.drawn), twin.drawn)
    close("primary container", ml(state.container(line.primary.container).left), twin.primary.left)
    if twin.secondary is not None and line.secondary is not None:
        holds = state.container(line.secondary.container).left + line.secondary.chamber
        close("secondary holds", ml(holds), twin.secondary.holds)
    close("pressure", float(pressure_mmhg(state, 1)), twin.pressure, scale=100.0)
    vein = dict(state.ledger.vein)
    assert state.ledger.air_in_vein == 0
    assert AIR not in vein
    close("in the vein", ml(sum(vein.values())), twin.vein)
    close("drug's fluid in the vein", ml(vein.get("sedative", 0)), twin.vein_drug_fluid)
    close("gone to waste", ml(sum(volume for _, volume in state.ledger.waste)), twin.waste)
    for name, substance in zip(("sedative", VOLUME), twin.substances, strict=True):
        compare_substance(state, name, substance)
    compare_signs(state, twin)


def compare_substance(state: State, name: str, substance: Substance) -> None:
    """Amount, effect site and every lagged driver, as amounts (or per minute)."""
    ours = next((one for one in state.drugs if one.drug == name), None)
    assert ours is not None, name
    close(f"{name}: amount", ours.amount, substance.amount)
    if substance.effect_half_s:
        close(f"{name}: effect site", ours.site, substance.at_effect_site)
    assert len(ours.lags) == len(substance.answers)
    for number, (answer, lagged) in enumerate(zip(substance.answers, ours.lags, strict=True)):
        theirs = substance.y[2 + number]
        close(f"{name}: {answer.driver} behind by {answer.lag_s} s", lagged, theirs)


def signs_by(twin: Twin) -> dict[str, tuple[float, float, float, float]]:
    """Each sign's number by the equations, the step it is told in, and where it is unclamped."""
    drug, volume = twin.substances
    level, site, rate = drug.y[2] / DRUG_L, drug.y[3] / DRUG_L, drug.y[4]
    return {
        "heart rate": (112 - 40 * level**2 / (1 + level**2), 1.0, 40, 200),
        "breathing": (24 - 3 * site, 1.0, 5, 60),
        "temperature": (37.1 + 0.2 * rate, 0.1, 34, 41),
        "capillary refill": (3 - 0.2 * volume.y[2] / WEIGHT_KG, 0.5, 1, 8),
    }


def compare_signs(state: State, twin: Twin) -> None:
    """What a sign is told as lies within half its step of the number by the equations."""
    for sign, (number, step, least, most) in signs_by(twin).items():
        if least < number < most:
            told = float(number_now(state, sign) or 0)
            assert abs(told - number) <= step / 2 + ONE_IN_A_MILLION * 100, (sign, told, number)


def close(what: str, ours: float, theirs: float, *, scale: float = 1.0) -> None:
    """Within one part in a million of the greater of the value and a usual value (1)."""
    allowed = ONE_IN_A_MILLION * max(scale, abs(theirs))
    assert abs(ours - theirs) <= allowed, f"{what}: {ours!r} here, {theirs!r} by the equations"


def compare_alarms(pair: Pair) -> None:
    """The same alarms and completions, to the millisecond."""
    ours = [(kind.value, at_ms - pair.skip_ms) for kind, at_ms in pair.bedside.alarms()]
    kinds = [one for one in ours if one[0] != "infusion complete"]
    theirs = [(kind, round(moment * 1000)) for kind, moment in pair.twin.alarms]
    assert [kind for kind, _ in kinds] == [kind for kind, _ in theirs], (kinds, theirs)
    for (_, one), (_, other) in zip(kinds, theirs, strict=True):
        assert abs(one - other) <= 1, (kinds, theirs)
    done = [
        (event.role.value, event.at_ms - pair.skip_ms)
        for event in pair.bedside.of_kind("VolumeComplete")
    ]
    expected = [(role, round(moment * 1000)) for role, moment in pair.twin.completed]
    assert [role for role, _ in done] == [role for role, _ in expected], (done, expected)
    for (_, one), (_, other) in zip(done, expected, strict=True):
        assert abs(one - other) <= 1, (done, expected)
