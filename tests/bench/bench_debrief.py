"""The debrief of a two-hour attempt with two hundred acts: scrubbing, and what-ifs.

Scrubbing is all that one move of the play head costs behind the address: the bedside at that
moment, the card as a view, and the card as HTML. A what-if is all that one question costs: the
rerun, the other report and course, the differences, both courses drawn for a wide page and a
phone, and the page as HTML. Neither holds the network, nor what a browser does with it; what an
attempt's first look makes once (states, report, course) is told apart.

Beside it stands the same bedside replayed from the start in ticks of a second, as a general
program would do: at every tick the acts that are due, then whatever happens, then all volumes,
levels and signs brought to that second. The steps are our own engine's, which are exact; a
program with simpler steps would take less for each and be wrong by more. Its times hold the
replay alone: no report, no course, no drawing.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

from tests.bench.long_attempt import ACTS, ENDS_MS, the_log, the_scenario
from tests.bench.timing import show_ratio
from trainer.cli.serve import look_for_circles_seldom
from trainer.engine.advance import advanced
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import decided
from trainer.engine.events import Acted, Event
from trainer.engine.replay import is_input
from trainer.engine.signs import all_now
from trainer.engine.state import State
from trainer.scenario.model import Scenario
from trainer.scoring.differences import Told
from trainer.scoring.what_if import told_of, what_if
from trainer.terms import Verb
from trainer.web import render, views_debrief, views_moment, views_what_if
from trainer.web.ended import Attempt
from trainer.web.what_if_asked import asked

TICK_MS = 1_000
SCRUBS = 97
"""Moments that are looked at, evenly over the attempt. A prime, so that they fall anywhere."""


def the_attempt(scenario: Scenario, told: Told) -> Attempt:
    """The attempt as the debrief keeps it ready."""
    return Attempt(
        id="bench",
        learner="bench",
        scenario=scenario,
        seed=0,
        events=told.events,
        report=told.report,
        course=told.course,
        versions=(),
        states=told.states,
    )


def scrub(attempt: Attempt, at_ms: int) -> str:
    """One move of the play head, to the card's HTML."""
    looking = views_debrief.look(attempt, str(at_ms), "", "", "")
    card = views_moment.moment(attempt, looking)
    return render.text("panels/_moment.html", moment=card)


def changes(log: tuple[Event, ...]) -> list[dict[str, str]]:
    """Questions about acts at the beginning, in the middle and at the end, as addresses."""
    acts = [place for place, event in enumerate(log) if isinstance(event, Acted)]
    entered = [place for place in acts if _verb(log[place]) is Verb.ENTER]
    started = [place for place in acts if _verb(log[place]) is Verb.START]
    stopped = [place for place in acts if _verb(log[place]) is Verb.STOP]
    wrong = [
        {"deed": str(place), "how": "changed", "rate": rate, "volume": "20"}
        for place, rate in zip(entered, ("24", "5.2", "4.8", "90", "1.1", "33"), strict=False)
    ]
    left = [{"deed": str(place), "how": "left out"} for place in (*started[::4], *stopped)]
    moved = [
        {"deed": str(place), "how": "moved", "at": f"{8 + number % 2}:{5 + 7 * number:02d}"}
        for number, place in enumerate(acts[5::29])
    ]
    return [*wrong, *left, *moved]


def _verb(event: Event) -> Verb | None:
    return event.action.verb if isinstance(event, Acted) else None


def answered(attempt: Attempt, told: Told, query: dict[str, str]) -> str:
    """One question about one act, to the page's HTML."""
    read = asked(attempt.scenario, attempt.events, query)
    assert read.change is not None, read.fault
    otherwise = what_if(attempt.scenario, attempt.events, read.change, known=told)
    view = views_what_if.what_if(attempt, read, otherwise)
    return bytes(render.page("what_if", view=view).body).decode()


def by_ticks(scenario: Scenario, inputs: Sequence[Acted], until_ms: int) -> State:
    """The bedside at a moment, replayed from the start second by second."""
    state, place = initial_state(scenario), 0
    for tick_ms in range(TICK_MS, until_ms + 1, TICK_MS):
        while place < len(inputs) and inputs[place].at_ms <= tick_ms:
            one = inputs[place]
            state, _ = advanced(state, one.at_ms)
            state, _ = decided(state, one.action, at_ms=one.at_ms, actor=one.actor)
            place += 1
        state, _ = advanced(state, tick_ms)
        state = carry(state, tick_ms)
        all_now(state)
    return state


class Took(NamedTuple):
    """Seconds on the clock, and seconds of the processor: on a busy machine far fewer."""

    clock: float
    processor: float


def seconds(run: Callable[[], object]) -> Took:
    clock, processor = time.perf_counter(), time.process_time()
    run()
    return Took(time.perf_counter() - clock, time.process_time() - processor)


def show_both(title: str, took: list[Took], aim: str = "") -> None:
    """Median and the time that 95 of 100 stay within, on the clock and of the processor."""
    clock, processor = zip(*took, strict=True)
    print(f"  {title:<46} {_ms(clock)}   processor {_ms(processor)}{aim}")


def _ms(several: Sequence[float]) -> str:
    p95 = statistics.quantiles(several, n=20, method="inclusive")[-1]
    return f"median {statistics.median(several) * 1000:>7.1f} ms  p95 {p95 * 1000:>7.1f} ms"


def ratio(slow: list[Took], quick: list[Took]) -> float:
    """How many times as fast, by medians of processor time."""
    slow_s, quick_s = (statistics.median(one.processor for one in both) for both in (slow, quick))
    return slow_s / quick_s


def check(scenario: Scenario, attempt: Attempt, inputs: Sequence[Acted]) -> None:
    """Both ways come to the same bedside, or there is nothing to compare."""
    at_ms = ENDS_MS // 2
    there, here = by_ticks(scenario, inputs, at_ms), attempt.state_at(at_ms)
    assert [line.pump.total for line in there.lines] == [line.pump.total for line in here.lines]
    assert all_now(there) == all_now(here)


def main() -> None:
    look_for_circles_seldom()  # as the server does
    print(f"The debrief of a two-hour attempt with {ACTS} acts")
    scenario = the_scenario()
    log = the_log(scenario)
    inputs = [event for event in log if is_input(event) and isinstance(event, Acted)]
    made = [seconds(partial(told_of, scenario, log)) for _ in range(5)]
    told = told_of(scenario, log)
    attempt = the_attempt(scenario, told)
    check(scenario, attempt, inputs)
    print(f"  its log holds {len(log)} events")
    show_both("made once: states, report, course", made)

    moments = [ENDS_MS * place // (SCRUBS - 1) for place in range(SCRUBS)]
    scrub(attempt, 0)
    scrubbed = [seconds(partial(scrub, attempt, at_ms)) for at_ms in moments]
    show_both("scrub to a moment, to the card's HTML", scrubbed, "   aim: 100 ms")

    questions = changes(log)
    answered(attempt, told, questions[0])
    asked_s = [seconds(partial(answered, attempt, told, one)) for one in questions]
    alone: list[Took] = []
    for one in questions:
        change = asked(scenario, log, one).change
        assert change is not None
        alone.append(seconds(partial(what_if, scenario, log, change, known=told)))
    show_both(f"what-if, {len(questions)} of them: all but the drawing", alone)
    show_both("what-if, to the page's HTML", asked_s, "   aim: 200 ms")

    ticked = [seconds(partial(by_ticks, scenario, inputs, at_ms)) for at_ms in moments[::12]]
    whole = [seconds(partial(by_ticks, scenario, inputs, ENDS_MS)) for _ in range(3)]
    show_both("from the start in ticks of a second, to it", ticked)
    show_both("from the start in ticks of a second, all of it", whole)
    show_ratio("scrub: faster than ticks from the start", ratio(ticked, scrubbed), "1")
    show_ratio("what-if, reading and drawing included: the same", ratio(whole, asked_s), "1")
    show_ratio("what-if without its drawing: the same", ratio(whole, alone), "1")
