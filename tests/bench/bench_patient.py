"""A simulated day with a patient who answers: the engine and scipy's solve_ivp.

Two lines, one drug with an effect site, the circulating volume, eight vital signs behind
their lags, twenty acts. Both sides give the same volumes, amounts and lagged drivers.
`solve_ivp` integrates the same thirteen states piece by piece between changes, as a fair
user would write it: one matrix, and events for a full volume and an empty container.
"""

from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import pairwise
from math import isclose, log

import numpy as np
from scipy.integrate import solve_ivp

from tests.bench.bench_engine import (
    DAY_S,
    LARGE_BAG_ML,
    MG_PER_ML,
    SMALL_BAG_ML,
    VTBI_ML,
    Reached,
    acts,
    by_the_engine,
    flows,
    the_bedside,
)
from tests.bench.timing import median_seconds, show, show_ratio
from tests.build import MINUTE
from trainer.engine.amounts import ml_from_motes
from trainer.engine.begin import initial_state
from trainer.engine.signs import all_now
from trainer.engine.state import State
from trainer.scenario.model import Circulation, Drug, Response, Scenario, Sign
from trainer.terms import Curve, Driver

HALF_LIFE_H, EFFECT_SITE_HALF_H, CIRCULATES_H = 2.0, 0.1, 0.75
OF_DRUG = (
    ("heart rate", "112", Driver.LEVEL, 3, "-1.5"),
    ("blood pressure", "92/54", Driver.LEVEL, 2, "-1"),
    ("breathing", "24", Driver.EFFECT_SITE, 1, "-0.5"),
    ("saturation", "98", Driver.EFFECT_SITE, 4, "-0.2"),
    ("temperature", "37.1", Driver.RATE, 5, "0.2"),
    ("glucose", "5.4", Driver.LEVEL, 30, "-0.1"),
)
OF_VOLUME = (
    ("capillary refill", "3", Driver.LEVEL, 2, "-0.1"),
    ("potassium", "4.1", Driver.LEVEL, 20, "-0.05"),
)
"""Sign, value at the start, what it follows, lag in minutes, change for each unit."""
STATES = 2 + 2 + 1 + len(OF_DRUG) + len(OF_VOLUME)
LINE_1, LINE_2, BODY, SITE, CIRCULATING = range(5)


def _responses(rows: tuple[tuple[str, str, Driver, int, str], ...]) -> tuple[Response, ...]:
    return tuple(
        Response(
            sign=sign, most=Fraction(most), driver=driver, curve=Curve.LINEAR, lag_ms=lag * MINUTE
        )
        for sign, _, driver, lag, most in rows
    )


def the_patient() -> Scenario:
    scenario: Scenario = the_bedside()
    drug = Drug(
        id="sedative",
        name="an invented sedative",
        half_life_ms=int(HALF_LIFE_H * 60) * MINUTE,
        volume_l_per_kg=Fraction(1),
        effect_site_half_ms=int(EFFECT_SITE_HALF_H * 60) * MINUTE,
        responses=_responses(OF_DRUG),
    )
    circulation = Circulation(
        half_life_ms=int(CIRCULATES_H * 60) * MINUTE,
        urine_share=Fraction(1, 2),
        responses=_responses(OF_VOLUME),
    )
    signs = tuple(Sign(name=sign, value=value, unit="") for sign, value, *_ in OF_DRUG + OF_VOLUME)
    return replace(
        scenario,
        formulary=replace(scenario.formulary, drugs=(drug,), circulation=circulation),
        patient=replace(scenario.patient, signs=signs),
    )


def end_of(state: State) -> list[float]:
    """The engine's thirteen numbers."""
    drug, volume = state.drugs
    return [
        *(float(ml_from_motes(line.pump.total)) for line in state.lines),
        drug.amount,
        drug.site,
        volume.amount,
        *drug.lags,
        *volume.lags,
    ]


def _matrix() -> np.ndarray:
    """All states are linear in each other; times are hours."""
    found = np.zeros((STATES, STATES))
    found[BODY, BODY] = -log(2) / HALF_LIFE_H
    found[SITE, BODY] = log(2) / EFFECT_SITE_HALF_H
    found[SITE, SITE] = -log(2) / EFFECT_SITE_HALF_H
    found[CIRCULATING, CIRCULATING] = -log(2) / CIRCULATES_H
    rows = [(driver, lag, BODY) for _, _, driver, lag, _ in OF_DRUG]
    rows += [(driver, lag, CIRCULATING) for _, _, driver, lag, _ in OF_VOLUME]
    for place, (driver, lag, body) in enumerate(rows, start=5):
        found[place, place] = -60 / lag
        if driver is not Driver.RATE:
            found[place, SITE if driver is Driver.EFFECT_SITE else body] = 60 / lag
    return found


def _arrival(one: float, two: float) -> np.ndarray:
    found = np.zeros(STATES)
    found[LINE_1], found[LINE_2] = one, two
    found[BODY] = two * MG_PER_ML
    found[CIRCULATING] = one + two
    for place, (_, _, driver, lag, _) in enumerate(OF_DRUG, start=5):
        if driver is Driver.RATE:
            found[place] = two * MG_PER_ML / 60 * 60 / lag
    return found


def by_solve_ivp(method: str, rtol: float = 1e-6) -> list[float]:
    matrix, values = _matrix(), np.zeros(STATES)
    for (begins, rates), (ends, _) in pairwise([*flows(), (DAY_S, (0.0, 0.0))]):
        arrival = _arrival(*rates)
        watched = [
            *(Reached(line, values[line] + VTBI_ML) for line in (LINE_1, LINE_2)),
            Reached(LINE_1, LARGE_BAG_ML),
            Reached(LINE_2, SMALL_BAG_ML),
        ]
        solved = solve_ivp(
            lambda _t, y, arrival=arrival: matrix @ y + arrival,
            (begins / 3600, ends / 3600),
            values,
            method=method,
            events=watched,
            rtol=rtol,
            atol=rtol / 1000,
        )
        values = solved.y[:, -1]
    return [float(value) for value in values]


def main() -> None:
    print("A simulated day, two lines, one drug with effect site, eight vital signs, 20 acts")
    scenario, script = the_patient(), acts()
    state = initial_state(scenario)
    assert len(script) == 20
    assert len(state.signs) == 8

    def ours() -> State:
        end = by_the_engine(state, script)
        all_now(end)
        return end

    end = ours()
    exact = by_solve_ivp("DOP853", rtol=1e-10)
    for found, other in zip(end_of(end), exact, strict=True):
        assert isclose(found, other, rel_tol=1e-6, abs_tol=1e-6), (end_of(end), exact)
    for found, other in zip(end_of(end), by_solve_ivp("LSODA"), strict=True):
        assert isclose(found, other, rel_tol=1e-3, abs_tol=1e-3)
    print("  signs at the end: " + ", ".join(f"{name} {text}" for name, text in all_now(end)))
    took = median_seconds(ours, times=51)
    show("the engine", took)
    for method in ("LSODA", "RK45", "BDF"):
        other_s = median_seconds(partial(by_solve_ivp, method), times=9)
        show(f"scipy.integrate.solve_ivp ({method}, rtol 1e-6)", other_s)
        show_ratio(f"faster than solve_ivp, {method}", other_s / took, "20")
