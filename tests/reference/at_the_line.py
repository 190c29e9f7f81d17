"""Lines for rows that speak of pressure, height, air or tubing, and the ward that ships.

The ward's own data come from its policy and formulary files as they ship; a row's own
figures are put in their place where it names them.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Any

from tests.build import (
    HOUR,
    SECOND,
    Bedside,
    a_bag,
    a_patient,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.engine.decide import inject
from trainer.engine.evolve import fold
from trainer.engine.state import State
from trainer.paths import SCENARIOS
from trainer.scenario.load import load_formulary, load_policy
from trainer.scenario.model import (
    Access,
    Drug,
    Effect,
    Formulary,
    Hydraulics,
    Limit,
    Policy,
    Scenario,
    SyringeSize,
    Trigger,
)
from trainer.terms import AlarmKind, Drive, Happening, Verb, Where

MMHG_PER_KPA = Fraction("7.500617")
"""One kilopascal in mmHg."""
MMHG_PER_PSI = Fraction("51.715")
RESTING = Fraction(10)
LARGE = Fraction(99_999)


@cache
def the_ward() -> Policy:
    """The policy that ships."""
    path = SCENARIOS / "policies" / "alder-ward.yaml"
    return load_policy(path.read_text(encoding="utf-8"), path.name)


@cache
def the_formulary() -> Formulary:
    """The formulary that ships."""
    path = SCENARIOS / "formularies" / "alder-ward.yaml"
    return load_formulary(path.read_text(encoding="utf-8"), path.name)


def the_drug(name: str) -> Drug:
    return next(drug for drug in the_formulary().drugs if drug.id == name)


def limits_of(drug: str, of: str, *, hard: bool, grown_up: bool = True) -> list[Limit]:
    """The drug's limits of one sort that hold for a grown-up, or for a child."""
    years = 40 if grown_up else 4
    return [
        limit
        for limit in the_drug(drug).limits
        if limit.of == of
        and limit.hard == hard
        and (limit.from_years is None or years >= limit.from_years)
        and (limit.below_years is None or years < limit.below_years)
    ]


def by_hand(name: str, **effect: Any) -> Any:
    """An authored event that the test brings itself."""
    return an_event(name, Trigger(by_hand=True), Effect(**effect))


BEND = by_hand(
    "bend", happening=Happening.LINE_BLOCKED, line=1, where=Where.DOWNSTREAM,
    reason="bent", mend=Verb.STRAIGHTEN,
)  # fmt: skip


def a_line(
    *,
    hydraulics: Hydraulics | None = None,
    policy: Policy | None = None,
    line: dict[str, Any] | None = None,
    supplies: tuple[Any, ...] = (),
    events: tuple[Any, ...] = (BEND,),
    gauge: int | None = None,
    **rules: Any,
) -> Bedside:
    """A ready line with a large bag; `rules` are the pump's that differ."""
    given: dict[str, Any] = {
        "resting_pressure_mmhg": RESTING,
        "drop_sensor": False,
        "highest_rate_ml_per_h": Fraction(2000),
        **rules,
    }
    scenario = a_scenario(
        lines=(a_ready_line(**(line or {})),),
        supplies=supplies or (a_bag(volume_ml=9_000), a_bag("small-bag", "sedative", 50)),
        events=events,
        patient=a_patient(
            access=(Access(id="hand", name="left hand", kind="peripheral", gauge=gauge),)
        ),
        ends_ms=500 * HOUR,
        **({} if policy else given),
    )
    return Bedside(_with(scenario, policy, hydraulics))


def _with(scenario: Scenario, policy: Policy | None, hydraulics: Hydraulics | None) -> Scenario:
    if policy is not None:
        scenario = replace(scenario, policy=policy)
    if hydraulics is not None:
        scenario = replace(scenario, policy=replace(scenario.policy, hydraulics=hydraulics))
    return scenario


def a_syringe_line(size: SyringeSize, **rules: Any) -> Bedside:
    """A full syringe of that size, freshly put into its pump."""
    syringe = a_bag("syringe", "sedative", int(size.size_ml), kind="syringe", size_ml=size.size_ml)
    policy = rules.pop("policy", None)
    hydraulics = replace(policy.hydraulics if policy else Hydraulics(), syringes=(size,))
    bedside = a_line(
        hydraulics=hydraulics,
        policy=policy,
        line={"hung": "syringe", "drive": Drive.SYRINGE, "has_port": False},
        supplies=(syringe,),
        **rules,
    )
    bedside.do(Verb.UNLOAD, line="1")
    bedside.do(Verb.LOAD, line="1")
    return bedside


def bring(bedside: Bedside, name: str) -> None:
    """The instructor's hand."""
    state = carry(bedside.state, bedside.now_ms)
    events = inject(state, name, at_ms=bedside.now_ms, actor="instructor")
    assert events, name
    bedside.state = fold(state, events)
    bedside.log += events


def now(bedside: Bedside) -> State:
    return carry(bedside.state, bedside.now_ms)


def run(bedside: Bedside, rate: Any, volume: str = "999") -> None:
    bedside.run(rate=f"{float(rate):g}", volume=volume)
    assert not bedside.of_kind("Refused"), bedside.refusal


def alarm_after_s(bedside: Bedside, most_h: int = 6) -> float | None:
    """Seconds from now until the pump tells a downstream occlusion; None if it does not."""
    began = bedside.now_ms
    bedside.wait(most_h * HOUR)
    came = [at for kind, at in bedside.alarms() if kind is AlarmKind.DOWNSTREAM_OCCLUSION]
    return (came[0] - began) / SECOND if came else None


def stored_ml(bedside: Bedside) -> Fraction:
    return Fraction(now(bedside).line(1).stored, MOTES_PER_ML)


def in_vein_ml(state: State) -> Fraction:
    return Fraction(sum(volume for _, volume in state.ledger.vein), MOTES_PER_ML)
