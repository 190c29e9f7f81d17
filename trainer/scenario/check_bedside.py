"""Checks of what stands at the bedside: the trolley, the lines, what varies by seed.

For `trainer.scenario.check` alone.
"""

from __future__ import annotations

from trainer.scenario import schema
from trainer.scenario.case import Case
from trainer.scenario.values import HEAVIEST_KG


def check_bedside(case: Case) -> None:
    """Note every fault of supplies, lines and varying values."""
    case.refuse_repeats(("supplies",), "id", "container")
    case.refuse_repeats(("lines",), "number", "line")
    case.refuse_repeats(("patient", "access"), "id", "catheter")
    for supply in case.every(schema.Supply, "supplies"):
        _check_supply(case, supply)
    hung: set[str] = set()
    for line in case.every(schema.Line, "lines"):
        case.known(line, "access", line.access, case.accesses, "catheter")
        _check_tubing(case, line.tubing)
        if line.hung is not None:
            _check_hung(case, line.hung, hung)
    _check_vary(case)


def _check_supply(case: Case, supply: schema.Supply) -> None:
    case.known(supply, "fluid", supply.fluid, case.fluid_names, "fluid")
    if not supply.fit and not supply.looks:
        case.refuse(
            supply,
            "fit",
            f"`{supply.id}` is not fit, but a look shows nothing",
            "add `looks:` with what is wrong with it",
        )


def _check_tubing(case: Case, tubing: schema.Tubing) -> None:
    """The three volumes of a port come together, and the port lies above the pump."""
    if tubing.port is None:
        for key in ("secondary", "secondary_chamber"):
            if getattr(tubing, key) is not None:
                case.refuse_key(
                    tubing, key, f"`{key}` needs a port", "add `port:` with the volume to the pump"
                )
        return
    for key in ("secondary", "secondary_chamber"):
        if getattr(tubing, key) is None:
            case.refuse_key(
                tubing, "port", f"a line with a port needs `{key}`", f"add `{key}:` with a volume"
            )
    if tubing.port >= tubing.above:
        case.refuse(
            tubing,
            "port",
            "the port lies between chamber and pump, so `port` is a part of `above`",
            "write a smaller volume",
        )


def _check_hung(case: Case, hung: schema.Hung, seen: set[str]) -> None:
    if hung.supply in seen:
        case.refuse(hung, "supply", f"`{hung.supply}` hangs at two lines", "give each line its own")
    seen.add(hung.supply)
    case.known(hung, "supply", hung.supply, case.written("supplies"), "container")
    supply = case.supply(hung.supply)
    if supply is not None and hung.left is not None and hung.left > supply.volume:
        case.refuse(hung, "left", "more is left in it than it holds", "write a smaller volume")
    if (hung.rate is None) != (hung.volume is None):
        missing, there = ("volume", "rate") if hung.volume is None else ("rate", "volume")
        case.refuse_key(
            hung, there, f"`{there}` needs `{missing}`", f"add `{missing}:`, or leave both out"
        )


def _check_vary(case: Case) -> None:
    ranges = case.parts.get("vary")
    for one in ranges.values() if isinstance(ranges, dict) else ():
        assert isinstance(one, schema.Range)
        least, most, step = (weight.to("kg") for weight in (one.least, one.most, one.step))
        if least >= most:
            case.refuse(one, "to", "the range ends before it begins", "write a larger end")
        elif ((most - least) / step).denominator != 1:
            case.refuse(one, "step", "the step does not divide the range", "write one that does")
        if most > HEAVIEST_KG:
            case.refuse(one, "to", "this is no patient's weight", "check the number")
