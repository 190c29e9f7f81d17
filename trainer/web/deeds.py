"""What can be done, as buttons and short forms: frozen values for the `deed` macro.

A deed is one verb with its parameters. Deeds are offered whether or not they are possible
just now: knowing which is possible is what the learner practises, and the engine says why
not. That also keeps the forms still: nothing a push brings can wipe what was typed.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import Verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One entry of a list to choose from."""

    value: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One thing to fill in. With `choices` it is a list, else a short line of text.

    With `slider` a slider from 0 to 100 stands beside the field, in steps of a tenth.
    """

    name: str
    label: str
    unit: str = ""
    value: str = ""
    choices: tuple[Choice, ...] = ()
    numeric: bool = False
    wide: bool = False
    slider: str = ""  # how the slider is spoken of; empty = none


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One act offered: its button's words, the verb, and what goes with it."""

    label: str
    verb: Verb
    params: tuple[tuple[str, str], ...] = ()
    asks: tuple[Ask, ...] = ()
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawer:
    """What can be done at one station of a line.

    `hears` is the number of the line whose drops can be listened to here.
    """

    id: str
    title: str
    deeds: tuple[Deed, ...]
    hears: str = ""


def deed(label: str, verb: Verb, *asks: Ask, main: bool = False, **params: str) -> Deed:
    """A deed in one line."""
    return Deed(label=label, verb=verb, params=tuple(params.items()), asks=asks, main=main)


def choices(*texts: str) -> tuple[Choice, ...]:
    """Choices whose value is what is shown."""
    return tuple(Choice(value=text, text=text) for text in texts)


def drawer_id(line: int, station: str) -> str:
    """The id of a station's drawer, and the target of its link: `at-1-pump`."""
    return f"at-{line}-{station}"
