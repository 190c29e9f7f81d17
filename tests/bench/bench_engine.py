"""A simulated day of two lines: the engine, SimPy by the second, and scipy's solve_ivp.

Line 1 gives plain fluid, line 2 a drug of which one level is followed. Twenty acts change
what runs (values entered and started, stops, starts again). All three give the same
volumes; the level of the engine and of solve_ivp agree.
"""

from fractions import Fraction
from itertools import pairwise
from math import isclose, log

import simpy
from scipy.integrate import solve_ivp

from tests.bench.timing import median_seconds, show, show_ratio
from tests.build import HOUR, a_bag, a_ready_line, a_scenario
from trainer.engine.actions import Action, act
from trainer.engine.advance import advance
from trainer.engine.amounts import ml_from_motes
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.evolve import fold
from trainer.engine.perform import perform
from trainer.engine.state import State
from trainer.terms import Verb

DAY_S = 24 * 3600
HALF_LIFE_H = 2
MG_PER_ML = 2
VTBI_ML = 5_000
LARGE_BAG_ML = 5_000
SMALL_BAG_ML = 1_000

# Eight changes of rate, each two acts (enter, start), and two stops with their starts: 20.
RATES = (
    (0, 1, "62.5"),
    (0, 2, "3.2"),
    (10_800, 1, "80"),
    (14_400, 2, "4.8"),
    (28_800, 1, "45.5"),
    (36_000, 2, "2.4"),
    (54_000, 1, "70"),
    (61_200, 2, "5.1"),
)
STOPS = ((43_200, 1, 45_000), (72_000, 2, 72_900))


def acts() -> list[tuple[int, Action]]:
    """The script as acts, each with its second."""
    script = [
        (second, act(verb, line=str(line), **more))
        for second, line, rate in RATES
        for verb, more in (
            (Verb.ENTER, {"role": "primary", "volume": str(VTBI_ML), "rate": rate}),
            (Verb.START, {}),
        )
    ]
    for stop, line, start in STOPS:
        script += [(stop, act(Verb.STOP, line=str(line))), (start, act(Verb.START, line=str(line)))]
    return sorted(script, key=lambda one: one[0])


def flows() -> list[tuple[int, tuple[float, float]]]:
    """The script as rates in mL/h of both lines, from each second on."""
    changes = [(second, line, float(rate)) for second, line, rate in RATES]
    set_rate = {1: 0.0, 2: 0.0}
    for stop, line, start in STOPS:
        before = max(one for one in changes if one[1] == line and one[0] < stop)
        changes += [(stop, line, 0.0), (start, line, before[2])]
    found: dict[int, tuple[float, float]] = {}
    for second, line, rate in sorted(changes):
        set_rate[line] = rate
        found[second] = (set_rate[1], set_rate[2])
    return list(found.items())


def the_bedside():
    return a_scenario(
        lines=(a_ready_line(1), a_ready_line(2, hung="small-bag", access="foot")),
        supplies=(a_bag(volume_ml=LARGE_BAG_ML), a_bag("small-bag", "sedative", SMALL_BAG_ML)),
        half_life_ms=HALF_LIFE_H * HOUR,
        ends_ms=48 * HOUR,
        near_end_ms=0,
    )


def by_the_engine(state: State, script: list[tuple[int, Action]]) -> State:
    for second, action in script:
        state, _ = perform(state, action, at_ms=second * 1000, actor="bench")
    return carry(fold(state, advance(state, DAY_S * 1000)), DAY_S * 1000)


def by_simpy_ticks() -> tuple[float, float, float]:
    """One process per line that wakes every second, as a first program would be written."""
    given = [0.0, 0.0]
    rates = [0.0, 0.0]
    level = [0.0]
    eliminated = log(2) / (HALF_LIFE_H * 3600)

    def line(env: simpy.Environment, number: int):
        while True:
            yield env.timeout(1)
            moved = rates[number] / 3600
            given[number] += moved
            if number == 1:
                level[0] += moved * MG_PER_ML - eliminated * level[0]

    def script(env: simpy.Environment):
        for second, both in flows():
            yield env.timeout(second - env.now)
            rates[:] = both

    env = simpy.Environment()
    env.process(script(env))
    env.process(line(env, 0))
    env.process(line(env, 1))
    env.run(until=DAY_S + 0.5)
    return given[0], given[1], level[0]


class Reached:
    """Ends an integration when one quantity reaches a volume."""

    terminal = True

    def __init__(self, number: int, volume: float) -> None:
        self.number, self.volume = number, volume

    def __call__(self, _t: float, y: list[float]) -> float:
        return y[self.number] - self.volume


def crossings(values: list[float]) -> list[Reached]:
    """What must be watched for on each line: volume complete, container empty."""
    complete = [Reached(number, values[number] + VTBI_ML) for number in (0, 1)]
    return [*complete, Reached(0, LARGE_BAG_ML), Reached(1, SMALL_BAG_ML)]


def by_solve_ivp(method: str = "LSODA") -> tuple[float, float, float]:
    """The same three quantities as differential equations, piece by piece between changes.

    As the engine does, it watches for a complete volume and an empty container.
    """
    k = log(2) / HALF_LIFE_H
    values = [0.0, 0.0, 0.0]
    pieces = [*flows(), (DAY_S, (0.0, 0.0))]
    for (begins, (one, two)), (ends, _) in pairwise(pieces):
        solved = solve_ivp(
            lambda _t, y, one=one, two=two: (one, two, two * MG_PER_ML - k * y[2]),
            (begins / 3600, ends / 3600),
            values,
            method=method,
            events=crossings(values),
            rtol=1e-6,
            atol=1e-9,
        )
        values = [series[-1] for series in solved.y]
    return values[0], values[1], values[2]


def main() -> None:
    print("A simulated day, two lines, one drug level, 20 acts")
    state, script = initial_state(the_bedside()), acts()
    assert len(script) == 20
    end = by_the_engine(state, script)
    volumes = [ml_from_motes(line.pump.total) for line in end.lines]
    amount = end.drugs[0].amount
    ticked, solved = by_simpy_ticks(), by_solve_ivp()
    exact = [
        sum(
            Fraction(str(rates[n])) * (ends - begins) / 3600
            for (begins, rates), (ends, _) in zip(
                [*flows()], [*flows()[1:], (DAY_S, (0.0, 0.0))], strict=True
            )
        )
        for n in (0, 1)
    ]
    assert volumes == exact, (volumes, exact)
    for other in (ticked, solved):
        assert isclose(volumes[0], other[0], rel_tol=1e-4)
        assert isclose(volumes[1], other[1], rel_tol=1e-4)
        assert isclose(amount, other[2], rel_tol=1e-2)
    assert isclose(amount, solved[2], rel_tol=1e-5)
    ours = median_seconds(lambda: by_the_engine(state, script), times=51)
    simpy_s = median_seconds(by_simpy_ticks, times=3)
    scipy_s = median_seconds(by_solve_ivp, times=15)
    scipy_default_s = median_seconds(lambda: by_solve_ivp("RK45"), times=15)
    print(f"  given: {float(volumes[0]):.2f} and {float(volumes[1]):.2f} mL in all three")
    show("the engine", ours)
    show("SimPy, one-second ticks", simpy_s)
    show("scipy.integrate.solve_ivp (LSODA, rtol 1e-6)", scipy_s)
    show("scipy.integrate.solve_ivp (its default RK45, rtol 1e-6)", scipy_default_s)
    show_ratio("faster than SimPy ticks", simpy_s / ours, "300")
    show_ratio("faster than solve_ivp, LSODA", scipy_s / ours, "20")
    show_ratio("faster than solve_ivp, RK45", scipy_default_s / ours, "20")
