"""The engine's laws, over random scripts of acts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tests.property.examples import tried
from tests.property.scripts import Script, scripts
from trainer.engine.advance import advance, next_happening_ms
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.begin import initial_state
from trainer.engine.blend import volumes_of
from trainer.engine.carry import carry
from trainer.engine.decide import decide, finish, inject
from trainer.engine.events import Event, Flushed
from trainer.engine.evolve import fold
from trainer.engine.notation import format_state
from trainer.engine.perform import perform
from trainer.engine.replay import audit, rerun, state_at
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import volume_of
from trainer.scenario.model import Scenario
from trainer.terms import AIR

Case = tuple[Scenario, Script]
LATER_MS = 30 * 60_000


def played(case: Case) -> tuple[list[State], list[Event], int]:
    """Every state after an act, the whole log, and the last moment."""
    scenario, script = case
    state, log, now = initial_state(scenario), list[Event](), 0
    states = [state]
    for wait, action in script:
        now += wait
        state, events = perform(state, action, at_ms=now, actor="learner")
        log.extend(events)
        states.append(state)
    events = advance(state, now + LATER_MS)
    return [*states, fold(state, events)], [*log, *events], now + LATER_MS


def inlets(line: Line) -> list[Inlet]:
    return [inlet for inlet in (line.primary, line.secondary) if inlet is not None]


def held(state: State) -> Counter[str]:
    """Every fluid at the bedside, wherever it is."""
    found: Counter[str] = Counter()
    for container in state.containers:
        found[container.fluid] += container.left
    for line in state.lines:
        for inlet in inlets(line):
            found[inlet.chamber_fluid] += inlet.chamber
        for plug in (
            *line.above,
            *line.below,
            *(plug for inlet in inlets(line) for plug in inlet.contents),
        ):
            found[plug.fluid] += plug.volume
    for place in (state.ledger.vein, state.ledger.tissue, state.ledger.waste):
        for fluid, volume in place:
            found[fluid] += volume
    del found[AIR], found[""]
    return found


def held_pure(state: State) -> Counter[str]:
    """The same, with blends taken apart into the fluids that ran together in them."""
    found: Counter[str] = Counter()
    for fluid, volume in held(state).items():
        found.update(dict(volumes_of(fluid, volume)))
    return found


MICROLITRE = MOTES_PER_ML // 1_000


def nothing_lost(first: State, log: Iterable[Event], last: State) -> None:
    """What was there at first and what was flushed in is all there at last, to the mote."""
    begun = held(first)
    for event in log:
        if isinstance(event, Flushed):
            begun[event.fluid] += event.volume
    ended = held_pure(last)
    assert ended.total() == begun.total()
    for fluid in begun.keys() | ended.keys():  # shares of blends are rounded
        assert abs(ended[fluid] - begun[fluid]) <= MICROLITRE


@tried(75)
@given(scripts(), st.integers(0, 60 * 60_000), st.integers(0, 60 * 60_000))
def test_advancing_in_two_steps_equals_one(case, first, second):
    state = played((case[0], case[1]))[0][-2]
    start = state.as_of_ms
    one = advance(state, start + first + second)
    before = advance(state, start + first)
    after = advance(fold(state, before), start + first + second)
    assert before + after == one
    assert fold(fold(state, before), after) == fold(state, one)


@tried(75)
@given(scripts())
def test_folding_the_log_gives_the_live_state(case):
    states, log, _ = played(case)
    assert fold(initial_state(case[0]), log) == states[-1]


@tried(75)
@given(scripts())
def test_running_the_inputs_again_reproduces_the_log(case):
    _, log, _ = played(case)
    assert rerun(case[0], log) == tuple(log)
    assert audit(case[0], log) is None


@tried(75)
@given(scripts())
def test_no_fluid_is_made_or_lost_to_the_mote(case):
    states, log, end_ms = played(case)
    nothing_lost(states[0], log, carry(states[-1], end_ms))


@tried(75)
@given(scripts())
def test_no_volume_is_ever_negative_and_every_tube_holds_what_fits(case):
    states, _, _ = played(case)
    for state in states:
        assert all(container.left >= 0 for container in state.containers), format_state(state)
        for line in state.lines:
            _check_tubing(line)


def _check_tubing(line: Line) -> None:
    missing = 0
    for inlet in inlets(line):
        assert 0 <= inlet.chamber <= inlet.chamber_size
        missing += inlet.size - volume_of(inlet.contents)
        assert all(plug.volume > 0 for plug in inlet.contents)
    assert all(plug.volume > 0 for plug in (*line.above, *line.below))
    assert missing + line.above_size - volume_of(line.above) == line.drawn
    assert volume_of(line.below) == line.below_size + line.stored
    assert line.drawn >= 0 <= line.slack
    assert -line.below_size <= line.rest
    assert line.primary.opening > 0


@tried(60)
@given(scripts())
def test_what_was_given_only_grows(case):
    states, _, _ = played(case)
    for earlier, later in pairwise(states):
        for name in ("vein", "tissue", "waste"):
            now = dict(getattr(later.ledger, name))
            for fluid, volume in getattr(earlier.ledger, name):
                assert now[fluid] >= volume
        assert later.ledger.air_in_vein >= earlier.ledger.air_in_vein
        for old, new in zip(earlier.lines, later.lines, strict=True):
            assert new.pump.total >= old.pump.total
            assert new.pump.total_secondary >= old.pump.total_secondary


@tried(60)
@given(scripts())
def test_events_are_told_in_the_order_of_time(case):
    _, log, _ = played(case)
    moments = [event.at_ms for event in log]
    assert moments == sorted(moments)


@tried(60)
@given(scripts(), st.integers(0, 60 * 60_000))
def test_a_log_shows_the_state_of_any_moment(case, at_ms):
    _, log, end_ms = played(case)
    at_ms = min(at_ms, end_ms)
    past = [event for event in log if event.at_ms <= at_ms]
    shown = state_at(case[0], log, at_ms)
    assert shown == carry(fold(initial_state(case[0]), past), at_ms)
    assert format_state(shown).startswith("t=")


A_FEW_MOTES = 1_000
"""Less than a thousandth of a microlitre: a closed bottle's vacuum counts in such steps."""


def is_rounded(state: State) -> bool:
    """Whether a narrowing or a closed bottle may bend a flow, or fluids may blend."""
    bent = any(line.narrowed_ms or not line.valve_works for line in state.lines)
    two_feeds = any(line.secondary is not None and line.secondary.joined for line in state.lines)
    closed = any(one.gas and not one.vented for one in state.containers)
    return bent or two_feeds or closed


def volumes(state: State) -> list[int]:
    """What every container holds and every line stores and has moved."""
    return [one.left for one in state.containers] + [
        volume for line in state.lines for volume in (line.stored, line.drawn, line.pump.total)
    ]


@tried(60)
@given(scripts())
def test_carrying_to_the_next_happening_in_two_steps_equals_one_for_every_volume(case):
    state = played(case)[0][-2]
    until = next_happening_ms(state)
    if until is None or until - state.as_of_ms < 2:
        return
    middle = (state.as_of_ms + until) // 2
    once, twice = carry(state, until), carry(carry(state, middle), until)
    if is_rounded(state):  # whole motes are taken at each step
        assert held(once).total() == held(twice).total()
        for one, other in zip(volumes(once), volumes(twice), strict=True):
            assert abs(one - other) <= A_FEW_MOTES
        return
    assert (once.lines, once.containers, once.ledger) == (
        twice.lines,
        twice.containers,
        twice.ledger,
    )
    for drug, again in zip(once.drugs, twice.drugs, strict=True):
        assert abs(drug.amount - again.amount) <= 1e-9 * max(1.0, drug.amount)


@tried(60)
@given(scripts())
def test_the_next_happening_is_truly_the_next(case):
    state = played(case)[0][-2]
    moment = next_happening_ms(state)
    if moment is not None:
        assert moment >= state.as_of_ms
        if moment > state.as_of_ms:
            assert advance(state, moment - 1) == ()
        assert advance(state, moment)[0].at_ms == moment


@tried(60)
@given(scripts(), st.sampled_from(("bent", "bubble", "by-hand", "nobody")))
def test_what_the_instructor_brings_and_the_end_are_reproduced_too(case, event):
    states, log, end_ms = played(case)
    state = states[-1]
    brought = inject(state, event, at_ms=end_ms, actor="instructor")
    state = fold(state, brought)
    ended = finish(state, at_ms=end_ms, by="learner")
    state = fold(state, ended)
    assert audit(case[0], (*log, *brought, *ended)) is None
    assert advance(state, end_ms + LATER_MS) == ()


@tried(75)
@given(
    scripts(),
    st.lists(st.tuples(st.text(max_size=8), st.text(max_size=30)), max_size=4),
    st.integers(0, 40),
)
def test_no_act_ever_raises(case, params, number):
    from trainer.engine.actions import Action
    from trainer.terms import Verb

    state = played(case)[0][-1]
    verb = tuple(Verb)[number % len(Verb)]
    events = decide(state, Action(verb, tuple(params)), at_ms=state.as_of_ms, actor="learner")
    assert events[0].at_ms == state.as_of_ms
