"""The bedside's panels: which of them an event touches, and drawing them.

A panel is a region of the page with its own id. What has changed on a page that shows the
log up to some event follows from the events after it alone, so nothing is remembered
between requests, and a second server or a restart gives the same answer.

Between events the counters move by script along the lines that the panel gave it, so a
panel is drawn anew only when an event touches it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.engine.events import (
    Acted,
    AlarmCauseGone,
    AlarmEnded,
    AlarmRaised,
    ArmMoved,
    CatheterRemoved,
    ContainerChanged,
    Cued,
    Event,
    Finished,
    Hung,
    Injected,
    Noted,
    OrderEnded,
    OrderGiven,
    Perceived,
    PowerChanged,
    Refused,
    Resited,
    ResultCame,
    Said,
    SampleTaken,
    SoundPaused,
    SoundResumed,
    SyringeAttached,
    TakenDown,
    VeinPressureChanged,
)
from trainer.engine.state import State
from trainer.live.ward import Glimpse
from trainer.scenario.model import Scenario
from trainer.terms import Param, Verb
from trainer.web import (
    render,
    views_chart,
    views_limit,
    views_path,
    views_running,
    views_signs,
    views_told,
    views_trolley,
    views_ward,
)
from trainer.web.views_bedside import Place

CLOCK, PACES, ALARMS, SLIP, RECORD = "clock", "paces", "alarms", "slip", "record"
ORDERS, WORK, WORKED, SIGNS, FLOWSHEET = "orders", "work", "worked", "signs", "flowsheet"
TROLLEY = "trolley"
LINE = "line-"
RUNNING = "running-"
LIMIT = "limit-"

_TOLD = frozenset({SLIP, RECORD})
_BY_VERB: dict[Verb, frozenset[str]] = {
    Verb.CHART: frozenset({FLOWSHEET}),
    Verb.CALCULATE: frozenset({WORKED}),
    Verb.VERIFY_ORDER: frozenset({ORDERS}),
    Verb.QUESTION_ORDER: frozenset({ORDERS}),
    Verb.READ_BACK: frozenset({ORDERS}),
}
_BY_KIND: dict[type, frozenset[str]] = {
    Refused: _TOLD,
    ResultCame: frozenset({SIGNS}) | _TOLD,
    SampleTaken: frozenset({SIGNS}) | _TOLD,
    Said: _TOLD,
    Cued: _TOLD,
    Noted: frozenset(),
    Injected: frozenset(),
    SoundPaused: frozenset({ALARMS}),
    SoundResumed: frozenset({ALARMS}),
    OrderGiven: frozenset({ORDERS, WORK}) | _TOLD,
    OrderEnded: frozenset({ORDERS, WORK}) | _TOLD,
    ContainerChanged: frozenset({TROLLEY}),
    Hung: frozenset({TROLLEY}),
    SyringeAttached: frozenset({TROLLEY}),
    TakenDown: frozenset({TROLLEY}),
    AlarmRaised: frozenset({ALARMS}) | _TOLD,
    AlarmCauseGone: frozenset({ALARMS}),
    AlarmEnded: frozenset({ALARMS}) | _TOLD,
}


_AT_EVERY_LINE = (PowerChanged, ArmMoved, VeinPressureChanged, CatheterRemoved, Resited)
"""What changes something at every line: the mains, or a catheter, which the lines share."""


def line_panels(number: int) -> frozenset[str]:
    """The panels of one line."""
    return frozenset({f"{LINE}{number}", f"{RUNNING}{number}"})


def every_panel(scenario: Scenario) -> frozenset[str]:
    """All panels of a scenario's bedside but the clock's two."""
    fixed = {ALARMS, SLIP, RECORD, ORDERS, WORK, WORKED, SIGNS, FLOWSHEET, TROLLEY}
    limits = (f"{LIMIT}{line.number}" for line in scenario.lines)
    return frozenset(fixed).union(limits, every_line(scenario))


def every_line(scenario: Scenario) -> frozenset[str]:
    """The panels of all lines."""
    return frozenset().union(*(line_panels(line.number) for line in scenario.lines))


def touched(scenario: Scenario, events: Iterable[Event]) -> frozenset[str]:
    """The panels that these events change."""
    found: set[str] = set()
    for event in events:
        if isinstance(event, Finished):
            return every_panel(scenario)
        found |= _touched_by(scenario, event)
    return frozenset(found)


def _touched_by(scenario: Scenario, event: Event) -> frozenset[str]:
    if isinstance(event, Acted):
        return _TOLD | _BY_VERB.get(event.action.verb, frozenset()) | _limit(scenario, event)
    if isinstance(event, Perceived):
        return _TOLD | _seen(scenario, event)
    found = _BY_KIND.get(type(event), frozenset())
    if isinstance(event, _AT_EVERY_LINE):
        return found | every_line(scenario)
    line = getattr(event, "line", None)
    if not isinstance(line, int):
        return found
    return found.union(*(line_panels(number) for number in _with_neighbours(scenario, line)))


def _with_neighbours(scenario: Scenario, line: int) -> list[int]:
    """A line, and those that run into the same catheter: what one does, the others feel."""
    mine = next((one.access for one in scenario.lines if one.number == line), None)
    return [one.number for one in scenario.lines if one.access == mine]


def _limit(scenario: Scenario, acted: Acted) -> frozenset[str]:
    """The words about a limit, which stand until values are entered again."""
    if acted.action.verb is not Verb.ENTER:
        return frozenset()
    number = acted.action.get(Param.LINE).strip()
    known = [str(line.number) for line in scenario.lines]
    return frozenset({f"{LIMIT}{number}"}) if number in known else frozenset()


def _seen(scenario: Scenario, event: Perceived) -> frozenset[str]:
    """What a look lets change on the page."""
    if event.of == "patient":
        return frozenset({SIGNS})
    if event.of == "line" and event.which.isdigit():
        return frozenset({f"{RUNNING}{event.which}"})  # drops may have been counted
    if event.of == "site":
        lines = [line.number for line in scenario.lines if line.access == event.which]
        return frozenset().union(*(line_panels(number) for number in lines))
    return frozenset()


def place(glimpse: Glimpse) -> Place:
    """The page's addresses, with how far its log goes."""
    return Place(id=glimpse.attempt, seen=str(len(glimpse.events)))


def draw(name: str, glimpse: Glimpse, *, contents_visible: bool, seen: int | None = None) -> str:
    """One panel as text. `seen` is for the slip: what the acting page showed."""
    state, events = glimpse.state, glimpse.events
    kind, dash, number = name.rpartition("-")
    if dash and number.isdigit():
        return _draw_line(kind, int(number), glimpse, contents_visible=contents_visible)
    if name == SLIP:
        return render.text("panels/_slip.html", slip=views_told.slip_view(state, events, seen))
    return render.text(f"panels/_{name}.html", **_view(name, glimpse, state, events))


def _draw_line(kind: str, number: int, glimpse: Glimpse, *, contents_visible: bool) -> str:
    """One of a line's panels."""
    state, events = glimpse.state, glimpse.events
    if kind == "limit":
        return render.text("panels/_limit.html", limit=views_limit.limit_view(events, number))
    if kind == "running":
        running = views_running.running_view(state, number, events, in_practice=contents_visible)
        return render.text("panels/_running.html", line=running)
    path = views_path.path_view(state, number, contents_visible=contents_visible)
    return render.text("panels/_line.html", line=path)


def _view(name: str, glimpse: Glimpse, state: State, events: Sequence[Event]) -> dict[str, object]:
    """What a panel needs, under the name that its template uses."""
    match name:
        case "clock":
            return {"clock": views_ward.clock_view(glimpse)}
        case "paces":
            return {"clock": views_ward.clock_view(glimpse), "place": place(glimpse)}
        case "alarms":
            return {"alarms": views_ward.alarms_view(state), "place": place(glimpse)}
        case "record":
            view = views_told.record_view(state, events)
            return {"record": view, "place": place(glimpse)}
        case "trolley":
            return {"trolley": views_trolley.trolley_view(state), "place": place(glimpse)}
        case _:
            return _chart_view(name, glimpse, state, events)


def _chart_view(
    name: str, glimpse: Glimpse, state: State, events: Sequence[Event]
) -> dict[str, object]:
    match name:
        case "orders":
            orders = views_chart.orders_view(state, events)
            return {"orders": orders, "place": place(glimpse)}
        case "work":
            return {"work": views_chart.work_view(state), "place": place(glimpse)}
        case "worked":
            return {"worked": views_chart.worked_view(state, events)}
        case "signs":
            return {"signs": views_signs.signs_view(state, events)}
        case "flowsheet":
            return {"flowsheet": views_chart.flowsheet_view(state, events)}
        case _:
            raise LookupError(f"there is no panel {name}")


def changed_since(glimpse: Glimpse, after: int | None) -> frozenset[str]:
    """The panels that a page does not show as they are, if it shows `after` events."""
    if after is None or not 0 <= after <= len(glimpse.events):
        return every_panel(glimpse.state.scenario)
    return touched(glimpse.state.scenario, glimpse.events[after:])


def pieces(
    glimpse: Glimpse,
    names: Iterable[str],
    *,
    contents_visible: bool,
    seen: int | None = None,
) -> str:
    """Panels as pieces that replace their regions of an open page.

    The clock goes with every answer: it sets the page right, and says how far the log goes.
    """
    return "".join(
        render.partial(name, draw(name, glimpse, contents_visible=contents_visible, seen=seen))
        for name in (CLOCK, *sorted(names))
    )
