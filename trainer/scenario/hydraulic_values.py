"""Texts of an author's file about height, resistance and flow turned into exact values.

Here: readers for what holds fluid back, each refusal with its mend. The other kinds of
value are read in `values`. For `trainer.scenario` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.scenario.values import (
    WrongValueError,
    above_zero,
    physical,
    quantity_in,
    shown,
    with_unit,
)

HIGHEST_CM = 300
"""A container or an arm farther away than this is a slip of the finger. Chosen by us."""
OPENING_PARTS = 1_000
"""A roller clamp's opening is counted in thousandths; see `engine.state.Inlet`."""


def read_height(value: object) -> Fraction:
    """A height in cm above the level that heights count from; below it with a minus.

    >>> read_height("-20 cm")
    Fraction(-20, 1)
    """
    text = physical(value, "90 cm")
    below = text.startswith("-")
    height_cm = quantity_in("cm", "90 cm", text.removeprefix("-").strip())
    if height_cm > HIGHEST_CM:
        raise WrongValueError(f"{shown(value)} is farther than {HIGHEST_CM} cm", "check the number")
    if (height_cm * 10).denominator != 1:
        raise WrongValueError(f"{shown(value)} is finer than a millimetre", "use fewer digits")
    return -height_cm if below else height_cm


def read_height_above(value: object) -> Fraction:
    """A height in cm, more than zero."""
    return above_zero(read_height(value), value)


def read_resistance(value: object) -> Fraction:
    """How much pressure a flow needs, in mmHg per mL/h.

    >>> read_resistance("0.012 mmHg per mL/h")
    Fraction(3, 250)
    """
    example = "0.012 mmHg per mL/h"
    return above_zero(with_unit(value, "mmHg per mL/h", example), value)


def read_flow(value: object) -> Fraction:
    """A catheter's flow in mL/min, more than zero."""
    return above_zero(quantity_in("mL/min", "20 mL/min", value), value)


def read_give(value: object) -> Fraction:
    """How much tissue gives for a pressure, in mL per mmHg."""
    return above_zero(with_unit(value, "mL/mmHg", "1 mL/mmHg"), value)


def read_any_pressure(value: object) -> Fraction:
    """A pressure in mmHg; zero is one."""
    return with_unit(value, "mmHg", "8 mmHg")


def read_share(value: object) -> Fraction:
    """A share between nothing and the whole, written in percent.

    >>> read_share("12.5 %")
    Fraction(1, 8)
    """
    share = with_unit(value, "%", "12.5 %") / 100
    if share > 1:
        raise WrongValueError(f"{shown(value)} is more than the whole", "write 100 % or less")
    return share


def read_opening(value: object) -> Fraction:
    """How far a roller clamp is open, as a share; `0 %` is shut."""
    opening = read_share(value)
    if (opening * OPENING_PARTS).denominator != 1:
        raise WrongValueError(
            f"{shown(value)} is finer than the trainer counts", "use at most one decimal"
        )
    return opening
