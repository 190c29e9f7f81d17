"""What was true at a moment and what the learner knew of it: sites, signs, lines.

A look is compared with the truth at the moment of that look: what has not changed since is
known still, whatever words it was told in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.engine import signs, site
from trainer.engine.events import Acted, Event, Refused
from trainer.engine.perceive_site import site_text
from trainer.engine.signs import unit_of
from trainer.engine.state import AccessState, Line, State
from trainer.scoring import explain
from trainer.scoring.into_vein import LEAST_TOLD
from trainer.terms import Param, Site, Verb
from trainer.web import words

AtMoment = Callable[[int], State]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """One thing at the bedside: what was true, what was known of it, and when that was seen.

    `seen` and `when` are empty where nobody had looked; `differs` where what was known was
    not true any more, or something mattered that nobody knew.
    """

    name: str
    true: str
    seen: str
    when: str
    differs: bool
    unit: str = ""

    @property
    def not_since(self) -> str:
        """How long nobody had looked: `not looked at since 09:12`."""
        return f"not looked at since {self.when}" if self.when else "not looked at yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """Something true that the learner did not know, in words, and where it is on which line."""

    name: str
    text: str
    not_since: str
    line: int = 0
    station: str = ""


def sign_views(state: State) -> tuple[Known, ...]:
    """The patient's signs, each as it was and as it was last seen."""
    seen, when = dict(state.signs_seen), dict(state.signs_seen_ms)
    return tuple(
        Known(
            name=name,
            true=value,
            seen=seen.get(name, ""),
            when=_when(state, when.get(name)) if name in seen else "",
            differs=seen.get(name, "") != value,
            unit=unit_of(state, name),
        )
        for name, value in signs.all_now(state)
    )


def _when(state: State, at_ms: int | None) -> str:
    """When a sign was last seen; one that was on the chart at the beginning, at the beginning."""
    return words.ward_time(state.scenario, at_ms or 0)


def site_views(state: State, at: AtMoment) -> tuple[Known, ...]:
    """Every catheter's site, as it was and as the last look showed it."""
    return tuple(_site(state, one, at) for one in state.access)


def _site(state: State, access: AccessState, at: AtMoment) -> Known:
    name = next(one.name for one in state.scenario.patient.access if one.id == access.id)
    if access.seen_ms is None:
        return Known(
            name=name,
            true=_truly(state, access),
            seen="",
            when="",
            differs=access.site is not Site.PATENT,
        )
    then = at(access.seen_ms)
    was = next(one for one in then.access if one.id == access.id)
    return Known(
        name=name,
        true=_truly(state, access),
        seen=access.seen.partition(": ")[2] or access.seen,
        when=words.ward_time(state.scenario, access.seen_ms),
        differs=site_text(then, was) != site_text(state, access),
    )


def _truly(state: State, access: AccessState) -> str:
    """What was true of a site: its grade, and what had gone beside the vein."""
    grade = site.grade_of(state, access)
    beside = f"{words.ml(access.tissue)} mL in the tissue" if access.tissue else ""
    parts = (str(access.site), f"grade {grade}" if grade else "", beside)
    return ", ".join(part for part in parts if part)


def unknown(state: State, events: Sequence[Event], at: AtMoment) -> tuple[Unknown, ...]:
    """Everything that was true and that the learner did not know."""
    sites = zip(site_views(state, at), state.access, strict=True)
    return (
        *(
            one
            for known, access in sites
            if known.differs
            for one in _site_unknown(state, known, access)
        ),
        *(one for line in state.lines for one in _line_unknown(state, line, events, at)),
        *(
            Unknown(
                name=known.name,
                text=f"{known.true} {known.unit}".strip(),
                not_since=known.not_since
                if not known.seen
                else f"last seen {known.seen} at {known.when}",
            )
            for known in sign_views(state)
            if known.differs
        ),
        *_air_in_vein(state),
    )


def _site_unknown(state: State, known: Known, access: AccessState) -> tuple[Unknown, ...]:
    """A site that was not as it was known, at each line that ends there."""
    numbers = [line.number for line in state.lines if line.access == access.id] or [0]
    return tuple(
        Unknown(
            name=known.name,
            text=known.true,
            not_since=known.not_since,
            line=number,
            station="site",
        )
        for number in numbers
    )


def held_by(line: Line) -> tuple[str, ...]:
    """What hinders a line where only following it shows it."""
    found = (line.blocked_above, line.blocked_below, line.narrowed_below)
    slipped = "the set lies wrong in the pump" if line.set_slipped else ""
    valve = "" if line.valve_works else "the check valve lets fluid run back"
    return tuple(one.rstrip(".") for one in (*found, slipped, valve) if one)


def _line_unknown(
    state: State, line: Line, events: Sequence[Event], at: AtMoment
) -> tuple[Unknown, ...]:
    """What hinders a line and had not been found by following it."""
    held = held_by(line)
    if not held:
        return ()
    followed_ms = last_followed(events, line.number)
    if followed_ms is None:
        known: tuple[str, ...] = ()
        not_since = "the line not followed yet"
    else:
        known = held_by(at(followed_ms).line(line.number))
        not_since = f"the line not followed since {words.ward_time(state.scenario, followed_ms)}"
    hidden = [one for one in held if one not in known]
    return tuple(
        Unknown(
            name=f"line {line.number}",
            text=one,
            not_since=not_since,
            line=line.number,
            station="tubing",
        )
        for one in hidden
    )


def last_followed(events: Sequence[Event], number: int) -> int | None:
    """When a line was last followed by hand; None if never."""
    for place in range(len(events) - 1, -1, -1):
        event = events[place]
        if not isinstance(event, Acted) or event.action.verb is not Verb.FOLLOW_LINE:
            continue
        is_refused = place + 1 < len(events) and isinstance(events[place + 1], Refused)
        if event.action.get(Param.LINE).strip() == str(number) and not is_refused:
            return event.at_ms
    return None


def _air_in_vein(state: State) -> tuple[Unknown, ...]:
    """The air that had reached the vein by then, if there was any to tell."""
    volume = state.ledger.air_in_vein
    if volume < LEAST_TOLD:
        return ()
    return (
        Unknown(
            name="air that had reached the vein",
            text=explain.volume(volume),
            not_since="nothing shows it",
        ),
    )
