"""Titles, reasons and worked solutions in words: whole sentences, numbers written safely.

Numbers have a leading zero, no trailing zero, a space before the unit, and thin spaces
from 10 000 up. Nothing is judged here.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number
from trainer.clinical.timebase import format_duration
from trainer.engine.actions import Action
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.scenario.model import Scenario, Supply
from trainer.terms import Param, Verb

QUANTITY_WORDS = {
    "dose": "dose",
    "volume": "volume",
    "rate": "hourly rate",
    "duration": "duration",
    "drip_rate": "drip rate",
}
"""The quantities of an order as a reader is told of them."""


def quantity_named(text: str) -> str:
    """The quantity that a form or an author names: `rate`, `hourly rate`; else the text."""
    plain = " ".join(text.split()).casefold()
    return next((name for name, words in QUANTITY_WORDS.items() if plain == words), plain)


def percent(share: Fraction) -> str:
    """A share in words: `10 %`, to a whole percent."""
    return f"{format_number((share * 100 + Fraction(1, 2)) // 1 * Fraction(1))} %"


def action_words(scenario: Scenario, action: Action) -> str:
    """An act as a log tells it: its verb, then what was typed."""
    return _words(scenario, action.verb, action.params)


BARE = frozenset({Param.ROLE, Param.WHAT, Param.HOW, Param.WHO})
"""Parameters whose value speaks for itself."""

IN_THIS_ORDER = tuple(str(param) for param in Param)


def _words(scenario: Scenario, verb: Verb, params: tuple[tuple[str, str], ...]) -> str:
    told = sorted(params, key=lambda pair: IN_THIS_ORDER.index(pair[0]))
    parts = [_param_words(scenario, name, text) for name, text in told if name != Param.TEXT]
    first = str(verb)[0].upper() + str(verb)[1:]
    return f"{first} ({', '.join(parts)})" if parts else first


def _param_words(scenario: Scenario, name: str, text: str) -> str:
    if text == "key":
        return f"{name} as worked out"
    if name == Param.ORDER:
        return next((one.title for one in scenario.orders if one.id == text), text)
    if name == Param.ACCESS:
        return next((one.name for one in scenario.patient.access if one.id == text), text)
    if name == Param.SUPPLY:
        return next(
            (supply_words(scenario, one) for one in scenario.supplies if one.id == text), text
        )
    if name == Param.SECONDS:
        return f"{text} s" if text.isdigit() else text
    return text if name in BARE else f"{name} {text}"


def supply_words(scenario: Scenario, supply: Supply) -> str:
    """A container by its label, made short: up to the first comma if that is enough.

    Where others begin alike, what only its label says is added; where nothing on it does,
    what a look at it shows: `Ringer's acetate: the date on it passed two months ago`.
    """
    return "".join(supply_parts(scenario, supply))


def supply_parts(scenario: Scenario, supply: Supply) -> tuple[str, str, str]:
    """A container's name, and if others have the same, a sign between and what tells it apart."""
    name, *more = _label_parts(supply)
    others = [_label_parts(one) for one in scenario.supplies if one.id != supply.id]
    alike = [parts for parts in others if parts[0] == name]
    if not alike:
        return name, "", ""
    telling = next((part for part in more if all(part not in parts for parts in alike)), "")
    if telling:
        return name, ", ", telling
    look = supply.looks.strip().split(". ")[0].removesuffix(".")
    return (name, ": ", first_small(look)) if look else (supply.label, "", "")


def _label_parts(supply: Supply) -> list[str]:
    return supply.label.split(", ")


def first_small(words: str) -> str:
    """Words to stand inside a sentence: the first letter small, names left as they are."""
    return words[:1].lower() + words[1:]


def sentence(text: str) -> str:
    """Free text of an author as a sentence: a capital first, a full stop last."""
    stripped = text.strip()
    if not stripped:
        return ""
    ended = stripped if stripped[-1] in ".!?" else f"{stripped}."
    return ended[0].upper() + ended[1:]


def joined(*sentences: str) -> str:
    """Sentences in a row, empty ones left out."""
    return " ".join(one for one in sentences if one)


def span(duration_ms: int) -> str:
    """A duration in words: `1 h 30 min`."""
    return format_duration(duration_ms)


def seconds(value: Fraction) -> str:
    """Seconds in words: `15 s`."""
    return f"{format_number(value)} s"


def ward_clock(starts_at: str, at_ms: int) -> str:
    """The ward clock's time of day at a moment: `09:05`."""
    hours, minutes = (int(part) for part in starts_at.split(":"))
    total = hours * 60 + minutes + at_ms // 60_000
    return f"{total // 60 % 24:02d}:{total % 60:02d}"


def amount(value: Fraction, unit: str) -> str:
    """A value with its unit: `56.4 mL/h`; a duration in minutes as `1 h 30 min`.

    >>> amount(Fraction("56.40"), "mL/h"), amount(Fraction(90), "min")
    ('56.4 mL/h', '1 h 30 min')
    """
    if unit == "min":
        whole = value * 60_000
        if whole.denominator == 1 and whole.numerator % 1000 == 0:
            return format_duration(whole.numerator)
    return f"{format_number(value)} {unit}"


def typed(value: Fraction, unit: str) -> str:
    """A value as a learner would type it: no thin spaces.

    >>> typed(Fraction(25000), "units")
    '25000 units'
    """
    words = amount(value, unit)
    return words if unit == "min" else f"{format_number(value, plain=True)} {unit}"


def number(value: Fraction) -> str:
    """A bare number, written safely."""
    return format_number(value)


def volume_text(motes: int) -> str:
    """An engine volume in words, exact: what was entered."""
    return f"{format_number(ml_from_motes(motes))} mL"


def volume(motes: int) -> str:
    """An engine volume in words, to a hundredth of a millilitre."""
    return rounded_ml(ml_from_motes(motes))


def rounded_ml(volume_ml: Fraction) -> str:
    """A volume in mL to a tenth (a hundredth below 1 mL), for telling, not for judging."""
    step = Fraction(1, 10) if abs(volume_ml) >= 1 else Fraction(1, 100)
    halves = (abs(volume_ml) / step + Fraction(1, 2)) // 1 * step
    return f"{format_number(halves if volume_ml >= 0 else -halves)} mL"


def rate(rate_ul_h: int) -> str:
    """An engine rate in words: `56.4 mL/h`."""
    return f"{format_number(ml_h_from_ul_h(rate_ul_h))} mL/h"
