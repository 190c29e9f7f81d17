"""What changes the patient's signs, and what is known of them, in the state."""

from __future__ import annotations

from typing import assert_never

from trainer.engine import charting, signs
from trainer.engine.copying import changed
from trainer.engine.events import ResultCame, SampleTaken, SignChanged, SignDrifts
from trainer.engine.state import Drift, Message, Sample, State

PatientEvent = SignChanged | SignDrifts | SampleTaken | ResultCame


def patient_after(state: State, event: PatientEvent) -> State:
    """After a sign became or becomes another, or was measured."""
    match event:
        case SignChanged():
            return _written(state, event.sign, event.value)
        case SignDrifts():
            return _drifting(state, event)
        case SampleTaken():
            sample = Sample(
                sign=event.sign, value=event.value, taken_ms=event.at_ms, due_ms=event.due_ms
            )
            return changed(state, samples=(*state.samples, sample))
        case ResultCame():
            return _result(state, event)
        case _:
            assert_never(event)


def _written(state: State, sign: str, value: str) -> State:
    """The sign stands at another value from now on."""
    return changed(
        _urine_counted(state, sign),
        signs=with_text(state.signs, sign, value),
        drifts=tuple(one for one in state.drifts if one.sign != sign),
    )


def _urine_counted(state: State, sign: str) -> State:
    """What was passed at the old rate is counted before urine goes on at another."""
    if sign != signs.URINE:
        return state
    passed = signs.urine_passed(state)
    return changed(state, urine_passed=passed, urine_since_ms=state.as_of_ms)


def _drifting(state: State, event: SignDrifts) -> State:
    """The sign goes on its way from where it stands; words have no way, and change at once."""
    since = signs.undisturbed(state, event.sign)
    value = charting.reading_of(event.sign, event.value)
    state = _written(state, event.sign, event.value)
    if len(since) != len(value) or not value:
        return state
    drift = Drift(
        sign=event.sign,
        value=event.value,
        since=charting.between_steps(event.sign, since),
        since_ms=event.at_ms,
        half_ms=event.half_ms,
    )
    return changed(state, drifts=(*state.drifts, drift))


def _result(state: State, event: ResultCame) -> State:
    """The sample is off the list, and its value is known."""
    samples = list(state.samples)
    for one in state.samples:
        if (one.sign, one.taken_ms) == (event.sign, event.taken_ms):
            samples.remove(one)
            break
    unit = signs.unit_of(state, event.sign)
    message = Message(
        at_ms=event.at_ms, who="result", text=f"{event.sign} {event.value} {unit}".strip() + "."
    )
    return changed(
        state,
        samples=tuple(samples),
        messages=(*state.messages, message),
        signs_seen=with_text(state.signs_seen, event.sign, event.value),
        signs_seen_ms=_with_moment(state.signs_seen_ms, event.sign, event.taken_ms),
    )


def patient_seen(state: State) -> State:
    """Every sign that a look shows is known as it is now; one that is measured is not."""
    seen, moments = state.signs_seen, state.signs_seen_ms
    for name, text in signs.seen_at_a_look(state):
        seen = with_text(seen, name, text)
        moments = _with_moment(moments, name, state.as_of_ms)
    return changed(state, signs_seen=seen, signs_seen_ms=moments)


def with_text(
    texts: tuple[tuple[str, str], ...], sign: str, text: str
) -> tuple[tuple[str, str], ...]:
    """The signs with one of them written anew."""
    if all(name != sign for name, _ in texts):
        return (*texts, (sign, text))
    return tuple((name, text if name == sign else old) for name, old in texts)


def _with_moment(
    moments: tuple[tuple[str, int], ...], sign: str, at_ms: int
) -> tuple[tuple[str, int], ...]:
    """When each sign was last seen; the patient's chart is no look."""
    return (*((name, old) for name, old in moments if name != sign), (sign, at_ms))
