"""The strip: an attempt's course drawn as one picture, time from left to right.

Takes `scoring.course.Course` and gives shapes with classes (`web.drawing`); the template
only writes them out. Each lane shares the ward clock's axis: findings, alarms, events and
acts, then per line the rate ordered and run, the volume given and the pressure, then the
patient's signs and drug levels. Two formats are drawn, one for a wide page and paper, one
for a phone held upright.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from trainer.clinical.rounding import format_number, round_half_up
from trainer.scoring.course import (
    ActMark,
    AlarmSpan,
    Course,
    LevelCourse,
    LineCourse,
    OrderedStretch,
    Point,
    SignCourse,
    Stretch,
)
from trainer.web.drawing import Corner, Scale, Stroke, Word, box, coordinate, polyline, word

MS_PER_MIN = 60_000
TICK_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480)
STOP_APART = Fraction(32)
PILL_APART = Fraction(50)
LETTER = 7
"""About how wide a letter is drawn, in user units, to keep words from each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """A size to draw in, in user units: the plot lies between the two gutters."""

    name: str
    width: int
    left: int
    right: int
    tick_apart: int  # least room for one label of the clock

    @property
    def has_gutter(self) -> bool:
        """Whether lane titles stand beside the plot (else above it)."""
        return self.left > 60


WIDE = Format(name="wide", width=1000, left=104, right=74, tick_apart=90)
NARROW = Format(name="narrow", width=336, left=6, right=6, tick_apart=72)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopMark:
    """A finding that has a moment. `number` is empty for what was done well."""

    number: str
    at_ms: int
    tone: str  # "miss", "near" or "well"
    label: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidMark:
    """How a fluid is told on the strip: its name, and its tone as a class."""

    name: str
    tone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A stop as drawn: a link at a place, with a stem down to its moment."""

    tone: str
    text: str
    x: str
    y: str
    stem: str
    label: str
    href: str
    at_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The finished picture, for the template to write out."""

    name: str
    width: int
    height: str
    title: str
    desc: str
    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    stops: tuple[Stop, ...]
    plot_left: int
    plot_right: int
    from_ms: int
    until_ms: int
    here_x: str
    here_top: str
    here_bottom: str


@dataclass(kw_only=True)
class Sheet:
    """The picture while it is being drawn: a pencil that moves down the page."""

    format: Format
    from_ms: int
    until_ms: int
    y: Fraction = Fraction(0)
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)

    def x(self, at_ms: int) -> Fraction:
        """Where a moment lies from left to right."""
        return Scale(
            Fraction(self.from_ms),
            Fraction(self.until_ms),
            Fraction(self.format.left),
            Fraction(self.format.width - self.format.right),
        ).place(at_ms)

    @property
    def right(self) -> Fraction:
        """Where the plot ends."""
        return Fraction(self.format.width - self.format.right)

    def stroke(self, cls: str, d: str, label: str = "") -> None:
        """Draw a path."""
        self.strokes.append(Stroke(cls=cls, d=d, label=label))

    def write(self, cls: str, x: Fraction | int, y: Fraction | int, text: str) -> None:
        """Write a piece of text."""
        self.words.append(word(cls, x, y, text))

    def lane(self, title: str, note: str, height: int) -> tuple[Fraction, Fraction]:
        """Begin a lane and give its top and bottom."""
        gutter = self.format.has_gutter
        top = self.y + (0 if gutter else 18)
        if gutter:
            self.write("lane-title", 0, top + 14, title)
            self.write("lane-note", 0, top + 29, note)
        else:
            self.write("lane-title", self.format.left, self.y + 12, f"{title} {note}".strip())
        self.y = top + height + 14
        return top, top + height

    def inside(self, from_ms: int, until_ms: int) -> bool:
        """Whether a stretch shows in the window."""
        return until_ms >= self.from_ms and from_ms <= self.until_ms


def draw(
    course: Course,
    stops: tuple[StopMark, ...],
    *,
    sheet_format: Format,
    fluids: dict[str, FluidMark],
    clock: Callable[[int], str],
    title: str,
    desc: str,
    at_ms: int,
    window: tuple[int, int] | None = None,
) -> Strip:
    """The strip of a course in one format.

    Args:
        course: what happened.
        stops: the findings that have a moment.
        sheet_format: wide or narrow.
        fluids: name and tone of each fluid, by its id, air among them.
        clock: writes a moment as ward clock, `09:38`.
        title: the picture's name.
        desc: the picture in a sentence or two, for those who do not see it.
        at_ms: where the play head stands.
        window: from when to when; the whole attempt if None.
    """
    from_ms, until_ms = window or (0, max(course.ends_ms, 1))
    sheet = Sheet(format=sheet_format, from_ms=from_ms, until_ms=until_ms)
    placed = _stops(sheet, stops)
    lanes_top = sheet.y
    _alarms(sheet, course)
    _happenings(sheet, course, clock)
    for line in course.lines:
        _rate(sheet, line)
        _into_vein(sheet, line, fluids)
        _volume(sheet, line)
        _pressure(sheet, line)
    for sign in course.signs:
        if len(sign.points) > 1:
            _sign(sheet, sign)
    for level in course.levels:
        _level(sheet, level)
    bottom = sheet.y
    grid = _axis(sheet, clock, lanes_top, bottom)
    here = coordinate(sheet.x(at_ms))
    return Strip(
        name=sheet_format.name,
        width=sheet_format.width,
        height=coordinate(sheet.y),
        title=title,
        desc=desc,
        strokes=(*grid, *sheet.strokes),
        words=tuple(sheet.words),
        stops=placed,
        plot_left=sheet_format.left,
        plot_right=sheet_format.width - sheet_format.right,
        from_ms=from_ms,
        until_ms=until_ms,
        here_x=here,
        here_top=coordinate(max(lanes_top - 6, Fraction(0))),
        here_bottom=coordinate(bottom),
    )


# --- findings -------------------------------------------------------------------------


def _stops(sheet: Sheet, stops: tuple[StopMark, ...]) -> tuple[Stop, ...]:
    """Numbered stops on top, ticks for what was done well under them."""
    shown = [one for one in stops if sheet.inside(one.at_ms, one.at_ms)]
    talk = [one for one in shown if one.number]
    well = [one for one in shown if not one.number]
    return (*_numbered(sheet, talk), *_ticked(sheet, well))


def _numbered(sheet: Sheet, marks: list[StopMark]) -> list[Stop]:
    """Stops with a number, set apart so that none hides another."""
    if not marks:
        return []
    room = sheet.right - sheet.format.left
    rows = -(-len(marks) * STOP_APART.numerator // max(int(room), 1))
    top, bottom = sheet.lane("to talk about", "", 32 * rows + 8)
    placed = []
    for row in range(rows):
        mine = marks[row::rows]
        y = top + 14 + 32 * row
        spots = _set_apart(sheet, [sheet.x(mark.at_ms) for mark in mine], STOP_APART, 13)
        for mark, x in zip(mine, spots, strict=True):
            stem = polyline(((x, y), (sheet.x(mark.at_ms), bottom + 8)))
            placed.append(_stop(mark.tone, mark.number, x, y, stem, mark.label, mark))
    return placed


def _set_apart(sheet: Sheet, wanted: list[Fraction], apart: Fraction, half: int) -> list[Fraction]:
    """Places in the same order, as near to the wanted ones as the least distance allows."""
    spots: list[Fraction] = []
    for want in wanted:
        spots.append(max(want, spots[-1] + apart if spots else Fraction(sheet.format.left + half)))
    limit = sheet.right - half
    for place in range(len(spots) - 1, -1, -1):
        spots[place] = min(spots[place], limit)
        limit = spots[place] - apart
    return spots


def _ticked(sheet: Sheet, marks: list[StopMark]) -> list[Stop]:
    """What was done well; ticks that would touch are gathered into one with its count."""
    if not marks:
        return []
    top, bottom = sheet.lane("done well", "", 28)
    groups: list[list[StopMark]] = []
    for mark in marks:
        if groups and sheet.x(mark.at_ms) - sheet.x(groups[-1][0].at_ms) < PILL_APART:
            groups[-1].append(mark)
        else:
            groups.append([mark])
    wanted = [sheet.x(group[0].at_ms) for group in groups]
    spots = _set_apart(sheet, wanted, PILL_APART, 22)
    placed = []
    for group, want, x in zip(groups, wanted, spots, strict=True):
        label = group[0].label if len(group) == 1 else _gathered_label(group)
        text = "" if len(group) == 1 else str(len(group))
        stem = polyline(((x, top + 14), (want, bottom + 8)))
        placed.append(_stop("well", text, x, top + 14, stem, label, group[0]))
    return placed


def _gathered_label(group: list[StopMark]) -> str:
    return f"{len(group)} things done well: " + "; ".join(mark.label for mark in group)


def _stop(
    tone: str, text: str, x: Fraction, y: Fraction, stem: str, label: str, mark: StopMark
) -> Stop:
    return Stop(
        tone=tone,
        text=text,
        x=coordinate(x),
        y=coordinate(y),
        stem=stem,
        label=label,
        href=mark.href,
        at_ms=mark.at_ms,
    )


# --- alarms, events, acts ----------------------------------------------------------------


def _alarms(sheet: Sheet, course: Course) -> None:
    """One bar for each alarm, rows as needed, paused sound as a thin bar under them."""
    shown = [one for one in course.alarms if sheet.inside(one.from_ms, one.until_ms)]
    if not shown:
        return
    rows = rows_for([_alarm_room(sheet, one) for one in shown])
    depth = max(rows) + 1
    top, _ = sheet.lane("alarms", "", 34 * depth + 4)
    for alarm, row in zip(shown, rows, strict=True):
        _alarm(sheet, alarm, top + 34 * row)
    for pause in course.pauses:
        if sheet.inside(pause.from_ms, pause.until_ms):
            y = top + 34 * depth
            sheet.stroke(
                "paused",
                box(sheet.x(pause.from_ms), y, sheet.x(pause.until_ms), y + 4),
                "Alarm sound paused",
            )


def _alarm_words(alarm: AlarmSpan) -> str:
    return f"{alarm.kind}, {alarm.priority}"


def _alarm_room(sheet: Sheet, alarm: AlarmSpan) -> tuple[Fraction, Fraction]:
    """From where to where an alarm's bar and its words reach."""
    left = sheet.x(alarm.from_ms)
    long = Fraction(LETTER * len(_alarm_words(alarm)))
    words_from = max(Fraction(sheet.format.left), min(left, sheet.right - long))
    return words_from, max(sheet.x(alarm.until_ms), left + 3, words_from + long)


def _alarm(sheet: Sheet, alarm: AlarmSpan, top: Fraction) -> None:
    left = sheet.x(alarm.from_ms)
    right = max(sheet.x(alarm.until_ms), left + 3)
    told = f"{alarm.kind}, line {alarm.line}, {alarm.priority} priority"
    sheet.stroke(f"alarm-bar {alarm.priority}", box(left, top + 16, right, top + 28), told)
    sheet.write("alarm-word", _alarm_room(sheet, alarm)[0], top + 11, _alarm_words(alarm))


def rows_for(spans: list[tuple[Fraction, Fraction]]) -> list[int]:
    """The first free row for each span, so that no two in a row overlap.

    >>> rows_for([(Fraction(0), Fraction(5)), (Fraction(3), Fraction(9)), (Fraction(7), Fraction(9))])
    [0, 1, 0]
    """
    reach: list[Fraction] = []
    rows = []
    for left, right in spans:
        row = next((n for n, end in enumerate(reach) if end < left), len(reach))
        if row == len(reach):
            reach.append(right)
        reach[row] = right
        rows.append(row)
    return rows


def _happenings(sheet: Sheet, course: Course, clock: Callable[[int], str]) -> None:
    """Events as diamonds, acts as ticks, refused acts as crosses."""
    top, bottom = sheet.lane("events", "and acts", 32)
    shown = [one for one in course.events if sheet.inside(one.at_ms, one.at_ms)]
    reaches = [*(sheet.x(one.at_ms) - 10 for one in shown[1:]), sheet.right]
    for event, room_until in zip(shown, reaches[: len(shown)], strict=True):
        x, y = sheet.x(event.at_ms), top + 8
        d = polyline(((x, y - 7), (x + 7, y), (x, y + 7), (x - 7, y))) + "Z"
        sheet.stroke("event", d, f"{clock(event.at_ms)} event: {event.title}")
        if x + 12 + LETTER * len(event.title) <= room_until:
            sheet.write("event-word", x + 12, y + 4, event.title)
    for act in course.acts:
        if sheet.inside(act.at_ms, act.at_ms):
            _act(sheet, act, bottom, f"{clock(act.at_ms)} {act.action.verb}")


def _act(sheet: Sheet, act: ActMark, bottom: Fraction, told: str) -> None:
    x = sheet.x(act.at_ms)
    if not act.refused:
        sheet.stroke("act", polyline(((x, bottom - 12), (x, bottom))), told)
        return
    cross = polyline(((x - 4, bottom - 10), (x + 4, bottom - 2)))
    cross += polyline(((x + 4, bottom - 10), (x - 4, bottom - 2)))
    sheet.stroke("refused", cross, f"{told}, not possible: {act.refused}")


# --- one line's rate, volume, pressure -----------------------------------------------------


def _rate(sheet: Sheet, line: LineCourse) -> None:
    """Ordered rate dashed, what ran as steps, and the gap between them filled."""
    ordered = [one for one in line.ordered if sheet.inside(one.from_ms, one.until_ms)]
    ran = [one for one in line.ran if sheet.inside(one.from_ms, one.until_ms)]
    rates = [one.rate_ml_per_h for one in ordered] + [one.rate_ml_per_h for one in ran]
    top, bottom = sheet.lane(f"line {line.number}", "rate, mL/h", 96)
    scale = Scale(Fraction(0), max(rates, default=Fraction(1)) * Fraction(6, 5), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    for from_ms, until_ms, want, got in gaps(ordered, ran, sheet.from_ms, sheet.until_ms):
        cls = "more" if got > want else "less"
        shape = box(sheet.x(from_ms), scale.place(want), sheet.x(until_ms), scale.place(got))
        sheet.stroke(cls, shape)
    for one in ordered:
        y = scale.place(one.rate_ml_per_h)
        sheet.stroke("ordered", polyline(((sheet.x(one.from_ms), y), (sheet.x(one.until_ms), y))))
    sheet.stroke("ran", _steps(sheet, ran, scale, bottom))
    _rate_words(sheet, ordered, ran, scale)


def _into_vein(sheet: Sheet, line: LineCourse, fluids: dict[str, FluidMark]) -> None:
    """A band of what flowed into the vein: its tone, and its name where there is room."""
    top, _ = sheet.lane("", "into the vein", 26)
    reach = Fraction(0)
    for one in line.reaching:
        if not sheet.inside(one.from_ms, one.until_ms):
            continue
        mark = fluids[one.fluid]
        left, right = sheet.x(one.from_ms), sheet.x(one.until_ms)
        sheet.stroke(f"reaching {mark.tone}", box(left, top + 14, right, top + 22), mark.name)
        room = max(right, left + 40) - left
        if LETTER * len(mark.name) <= room and left >= reach:
            sheet.write("value", left + 2, top + 10, mark.name)
            reach = left + LETTER * len(mark.name)


def _rate_words(
    sheet: Sheet, ordered: list[OrderedStretch], ran: list[Stretch], scale: Scale
) -> None:
    """The rates themselves, written where there is room for them."""
    last_x = Fraction(-100)
    for one in ran:
        left, right = sheet.x(one.from_ms), sheet.x(one.until_ms)
        if right - left > 34 and left > last_x:
            y = scale.place(one.rate_ml_per_h)
            sheet.write("value", left + 4, y - 5, _number(one.rate_ml_per_h))
            last_x = left + 34
    if ordered and sheet.format.has_gutter:
        last = ordered[-1]
        y = scale.place(last.rate_ml_per_h)
        sheet.write("ordered-word", sheet.right + 6, y + 4, f"{_number(last.rate_ml_per_h)} asked")


def gaps(
    ordered: list[OrderedStretch], ran: list[Stretch], from_ms: int, until_ms: int
) -> list[tuple[int, int, Fraction, Fraction]]:
    """Stretches in which what ran was not what was ordered: from, until, ordered, ran."""
    edges = {from_ms, until_ms}
    edges |= {edge for one in ordered for edge in (one.from_ms, one.until_ms)}
    edges |= {edge for one in ran for edge in (one.from_ms, one.until_ms)}
    inside = sorted(edge for edge in edges if from_ms <= edge <= until_ms)
    found = []
    for start, stop in pairwise(inside):
        want = _rate_at([(one.from_ms, one.until_ms, one.rate_ml_per_h) for one in ordered], start)
        got = _rate_at([(one.from_ms, one.until_ms, one.rate_ml_per_h) for one in ran], start)
        if want != got:
            found.append((start, stop, want, got))
    return found


def _rate_at(stretches: list[tuple[int, int, Fraction]], at_ms: int) -> Fraction:
    """The rate of the stretch that holds at a moment; nothing outside all of them."""
    return next((rate for start, stop, rate in stretches if start <= at_ms < stop), Fraction(0))


def _steps(sheet: Sheet, ran: list[Stretch], scale: Scale, bottom: Fraction) -> str:
    """The step path of what ran, down to nothing wherever the pump stood."""
    running_already = bool(ran) and ran[0].from_ms <= sheet.from_ms
    first = scale.place(ran[0].rate_ml_per_h) if running_already else bottom
    corners: list[Corner] = [(sheet.x(sheet.from_ms), first)]
    for one in ran:
        left, right = sheet.x(one.from_ms), sheet.x(one.until_ms)
        y = scale.place(one.rate_ml_per_h)
        if corners[-1][0] != left:
            corners += [(corners[-1][0], bottom), (left, bottom)]
        corners += [(left, y), (right, y)]
    if ran and corners[-1][0] < sheet.x(sheet.until_ms):
        corners.append((corners[-1][0], bottom))
    corners.append((sheet.x(sheet.until_ms), corners[-1][1]))
    return polyline(tuple(corners))


def _volume(sheet: Sheet, line: LineCourse) -> None:
    """Volume given as a line, and what the orders would have given, dashed."""
    wanted = asked_volume(line.ordered)
    top, bottom = sheet.lane("", "volume, mL", 60)
    most = max([point.value for point in (*line.given_ml, *wanted)] or [Fraction(1)])
    scale = Scale(Fraction(0), most * Fraction(11, 10) or Fraction(1), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("ordered", _curve(sheet, wanted, scale))
    sheet.stroke("given", _curve(sheet, line.given_ml, scale))
    if line.given_ml:
        last = line.given_ml[-1].value
        _end_value(sheet, scale.place(last), f"{_number(last)} given")


def asked_volume(ordered: tuple[OrderedStretch, ...]) -> tuple[Point, ...]:
    """What had been asked for by each moment, all orders of the line together."""
    edges = sorted({edge for one in ordered for edge in (one.from_ms, one.until_ms)})
    total = Fraction(0)
    points = [Point(at_ms=edge, value=Fraction(0)) for edge in edges[:1]]
    for start, stop in pairwise(edges):
        rates = [one.rate_ml_per_h for one in ordered if one.from_ms <= start < one.until_ms]
        total += sum(rates, Fraction(0)) * Fraction(stop - start, 60 * MS_PER_MIN)
        points.append(Point(at_ms=stop, value=total))
    return tuple(points)


def _pressure(sheet: Sheet, line: LineCourse) -> None:
    """Pressure below the pump, and the limit at which it alarms."""
    top, bottom = sheet.lane("", "pressure, mmHg", 52)
    most = max([line.pressure_alarm_mmhg, *(point.value for point in line.pressure_mmhg)])
    scale = Scale(Fraction(0), most * Fraction(11, 10), bottom, top)
    limit = scale.place(line.pressure_alarm_mmhg)
    sheet.stroke("limit", polyline(((Fraction(sheet.format.left), limit), (sheet.right, limit))))
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("pressure", _curve(sheet, line.pressure_mmhg, scale))
    if sheet.format.has_gutter:
        text = f"alarm at {_number(line.pressure_alarm_mmhg)}"
        sheet.write("ordered-word", sheet.right + 6, limit + 4, text)


def _curve(sheet: Sheet, points: tuple[Point, ...], scale: Scale) -> str:
    """The line through points, cut to the window."""
    cut = window_points(points, sheet.from_ms, sheet.until_ms)
    corners = tuple((sheet.x(point.at_ms), scale.place(point.value)) for point in cut)
    return polyline(corners) if corners else "M0 0"


def window_points(points: tuple[Point, ...], from_ms: int, until_ms: int) -> tuple[Point, ...]:
    """The points between two moments, with the exact values at the two ends."""
    if not points:
        return ()
    inside = [point for point in points if from_ms <= point.at_ms <= until_ms]
    first = Point(at_ms=from_ms, value=value_at(points, from_ms))
    last = Point(at_ms=until_ms, value=value_at(points, until_ms))
    head = [first] if points[0].at_ms < from_ms else []
    tail = [last] if points[-1].at_ms > until_ms else []
    return (*head, *inside, *tail)


def value_at(points: tuple[Point, ...], at_ms: int) -> Fraction:
    """The value at a moment, on the straight line between its neighbours.

    At a jump the value after it.
    """
    before = next((point for point in reversed(points) if point.at_ms <= at_ms), points[0])
    after = next((point for point in points if point.at_ms > at_ms), before)
    if after.at_ms <= before.at_ms:
        return before.value
    share = Fraction(at_ms - before.at_ms, after.at_ms - before.at_ms)
    return before.value + max(share, Fraction(0)) * (after.value - before.value)


# --- the patient -----------------------------------------------------------------------------


def _sign(sheet: Sheet, sign: SignCourse) -> None:
    """One sign as it truly was, step by step, each value written at its change."""
    numbers = [point.number for point in sign.points if point.number is not None]
    top, bottom = sheet.lane(sign.name, sign.unit, 38)
    low, high = (min(numbers), max(numbers)) if numbers else (Fraction(0), Fraction(1))
    room = (high - low) / 2 or Fraction(1)
    scale = Scale(low - room, high + room, bottom, top + 6)
    ends = (*(point.at_ms for point in sign.points[1:]), sheet.until_ms)
    corners: list[Corner] = []
    last_x = Fraction(-100)
    for point, end in zip(sign.points, ends, strict=True):
        if not sheet.inside(point.at_ms, end):
            continue
        y = scale.place(point.number) if point.number is not None else bottom - 8
        left, right = sheet.x(point.at_ms), sheet.x(end)
        corners += [(left, y), (right, y)]
        if left > last_x:
            sheet.write("value", left + 4, y - 5, point.text)
            last_x = left + 9 * len(point.text)
    sheet.stroke("sign-course", polyline(tuple(corners)))


def _level(sheet: Sheet, level: LevelCourse) -> None:
    """A drug's level, from the samples."""
    top, bottom = sheet.lane(level.name, f"level, {level.unit}", 56)
    most = max([point.value for point in level.points] or [Fraction(1)])
    scale = Scale(Fraction(0), most * Fraction(6, 5) or Fraction(1), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("drug-level", _curve(sheet, level.points, scale))
    if level.points and level.points[-1].value:
        last = level.points[-1].value
        _end_value(sheet, scale.place(last), _number(last))


def _end_value(sheet: Sheet, y: Fraction, text: str) -> None:
    """A value at the end of its line: beside the plot, or above it if there is no gutter."""
    if sheet.format.has_gutter:
        sheet.write("value", sheet.right + 6, y + 4, text)
    else:
        sheet.write("value end", sheet.right, y - 5, text)


# --- the clock ---------------------------------------------------------------------------------


def _axis(
    sheet: Sheet, clock: Callable[[int], str], top: Fraction, bottom: Fraction
) -> tuple[Stroke, ...]:
    """The ward clock under the lanes, and the fine lines that carry it up."""
    room = sheet.right - sheet.format.left
    grid = []
    for at_ms in ticks(sheet.from_ms, sheet.until_ms, int(room) // sheet.format.tick_apart, clock):
        x = sheet.x(at_ms)
        grid.append(Stroke(cls="grid", d=polyline(((x, top), (x, bottom)))))
        near_left, near_right = x - sheet.format.left < 18, sheet.right - x < 18
        cls = "ward-time" + (" start" if near_left else " end" if near_right else "")
        sheet.write(cls, x, bottom + 16, clock(at_ms))
    sheet.y = bottom + 22
    return tuple(grid)


def ticks(from_ms: int, until_ms: int, most: int, clock: Callable[[int], str]) -> tuple[int, ...]:
    """Moments at which the ward clock shows a round time, no more of them than fit."""
    span = max(until_ms - from_ms, 1)
    step_min = next(
        (one for one in TICK_MINUTES if span // (one * MS_PER_MIN) <= max(most, 2)),
        TICK_MINUTES[-1],
    )
    step_ms = step_min * MS_PER_MIN
    hours, minutes = clock(0).split(":")[:2]
    begins_ms = (int(hours) * 60 + int(minutes)) * MS_PER_MIN
    first = from_ms + -(begins_ms + from_ms) % step_ms
    return tuple(range(first, until_ms + 1, step_ms))


def _number(value: Fraction) -> str:
    step = Fraction(1, 10) if value >= 1 else Fraction(1, 100)
    return format_number(round_half_up(value, step))
