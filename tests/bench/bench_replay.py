"""A log of two thousand events: run again from its inputs, and folded."""

from tests.bench.timing import median_seconds, show
from tests.build import MINUTE, a_bag, a_ready_line, a_scenario
from trainer.engine.actions import act
from trainer.engine.advance import advance
from trainer.engine.begin import initial_state
from trainer.engine.events import Event
from trainer.engine.evolve import fold
from trainer.engine.perform import perform
from trainer.engine.replay import audit, rerun
from trainer.scenario.model import Scenario
from trainer.terms import Verb

EVENTS = 2_000


def a_long_log(scenario: Scenario) -> tuple[Event, ...]:
    """A restless learner: values entered, started, looked after, stopped, for hours."""
    state = initial_state(scenario)
    events: list[Event] = []
    at_ms = 0
    turn = (
        act(Verb.ENTER, line="1", role="primary", volume="2", rate="61.3"),
        act(Verb.START, line="1"),
        act(Verb.ENTER, line="2", role="primary", volume="0.5", rate="7.7"),
        act(Verb.START, line="2"),
        act(Verb.LOOK_AT_SITE, access="hand"),
        act(Verb.STOP, line="1"),
        act(Verb.START, line="1"),
        act(Verb.PAUSE_SOUND),
        act(Verb.LOOK_AT_PATIENT),
        act(Verb.CHART, what="what runs"),
    )
    while len(events) < EVENTS:
        for action in turn:
            state, new = perform(state, action, at_ms=at_ms, actor="bench")
            events += new
            at_ms += 20_000
        new = advance(state, at_ms + 4 * MINUTE)
        state, at_ms = fold(state, new), at_ms + 4 * MINUTE
        events += new
    return tuple(events)


def main() -> None:
    print("A log of about two thousand events")
    scenario = a_scenario(
        lines=(a_ready_line(1), a_ready_line(2, hung="small-bag", access="foot")),
        supplies=(a_bag(volume_ml=9000), a_bag("small-bag", "sedative", 9000)),
        ends_ms=30 * 24 * 60 * MINUTE,
    )
    log = a_long_log(scenario)
    assert audit(scenario, log) is None
    again = median_seconds(lambda: rerun(scenario, log))
    folded = median_seconds(lambda: fold(initial_state(scenario), log))
    show(f"run again from the inputs, {len(log)} events", again)
    show("folded", folded)
    print(f"  {'an event, run again':<58} {again / len(log) * 1e6:>10.1f} us  aim: 25")
    print(f"  {'an event, folded':<58} {folded / len(log) * 1e6:>10.1f} us")
