"""Which quantity (`relations.Part`) a name and a unit mean, and the unit to show it in.

Most names of a problem mean one quantity. A dose, a volume and a rate mean several: their
unit tells of what, per what of the body, and per what time (`Flow`).
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.problem import FINDS
from trainer.clinical.relations import Part
from trainer.clinical.units import DRUG_DIMENSIONS, Dimension, Unit, parse_unit, product_of

D = Dimension

ONE_PART: dict[str, tuple[Part, tuple[tuple[Dimension, int], ...], str]] = {
    "duration": (Part.DURATION, ((D.TIME, 1),), "1 h 30 min"),
    "drip_rate": (Part.DRIP_RATE, ((D.DROPS, 1), (D.TIME, -1)), "21 gtt/min"),
    "drop_factor": (Part.DROP_FACTOR, ((D.DROPS, 1), (D.VOLUME, -1)), "20 gtt/mL"),
    "doses_per_day": (Part.DOSES_PER_DAY, ((D.TIME, -1),), "4"),
    "weight": (Part.WEIGHT, ((D.BODY, 1),), "18.2 kg"),
    "height": (Part.HEIGHT, ((D.LENGTH, 1),), "110 cm"),
    "bsa": (Part.BSA, ((D.AREA, 1),), "0.75 m2"),
    "diluent": (Part.DILUENT, ((D.VOLUME, 1),), "40 mL"),
    "dehydration": (Part.DEHYDRATION, ((D.PERCENT, 1),), "5 %"),
    "burned": (Part.BURNED, ((D.PERCENT, 1),), "15 %"),
    "coefficient": (
        Part.COEFFICIENT,
        ((D.BODY, -1), (D.PERCENT, -1), (D.VOLUME, 1)),
        "3 mL/kg/%",
    ),
    "deficit": (Part.DEFICIT, ((D.VOLUME, 1),), "mL"),
    "resuscitation": (Part.RESUSCITATION, ((D.VOLUME, 1),), "mL"),
}
"""The names that mean one quantity: which, in what dimensions, and an example."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What kind of dose or volume a unit speaks of: of what, per what of the body, per time."""

    of: str
    body: str
    timed: str


FLOW_PARTS: dict[Flow, Part] = {
    Flow(of=of, body=body, timed=timed): Part[f"{stem}{suffix}"]
    for of, stems in (
        ("drug", {"once": "AMOUNT", "time": "AMOUNT_RATE", "day": "DAILY_AMOUNT"}),
        ("volume", {"once": "VOLUME", "time": "RATE", "day": "DAILY_VOLUME"}),
    )
    for timed, stem in stems.items()
    for body, suffix in (("", ""), ("kg", "_PER_KG"), ("m2", "_PER_M2"))
}


def flow_of(unit: Unit) -> Flow | None:
    """What kind of dose or volume the unit speaks of; None if of neither.

    >>> flow_of(parse_unit("mcg/kg/min"))
    Flow(of='drug', body='kg', timed='time')
    """
    rest = dict(unit.dimensions)
    timed = {0: "once", -1: "time"}.get(rest.pop(D.TIME, 0))
    body = {(0, 0): "", (-1, 0): "kg", (0, -1): "m2"}.get(
        (rest.pop(D.BODY, 0), rest.pop(D.AREA, 0))
    )
    if timed is None or body is None or len(rest) != 1:
        return None
    (dimension, power) = rest.popitem()
    if power != 1 or dimension not in {*DRUG_DIMENSIONS, D.VOLUME}:
        return None
    return Flow(of="volume" if dimension is D.VOLUME else "drug", body=body, timed=timed)


def is_drug_once(unit: Unit) -> bool:
    """Whether the unit counts a drug: no body, no time."""
    return flow_of(unit) == Flow(of="drug", body="", timed="once")


def is_per_day(unit: Unit) -> bool:
    """Whether the unit is written per day."""
    return any(atom.symbol == "day" and power == -1 for atom, power in unit.powers)


def drug_dimension(unit: Unit) -> Dimension | None:
    """The dimension in which the unit counts a drug; None if it does not."""
    return next((d for d, power in unit.dimensions if power == 1 and d in DRUG_DIMENSIONS), None)


def drug_unit(asked_units: tuple[Unit, ...]) -> Unit | None:
    """The first unit of drug among these, for showing in-between amounts."""
    for unit in asked_units:
        for atom, power in unit.powers:
            if power == 1 and atom.dimension in DRUG_DIMENSIONS:
                return product_of(((atom, 1),))
    return None


def default_unit(part: Part, drug: Unit | None, rule: str = "") -> Unit:
    """The unit in which an in-between result is shown."""
    flow = next((f for f, p in FLOW_PARTS.items() if p is part), None)
    if flow is not None:
        above = "mL" if flow.of == "volume" else (drug.text if drug else "mg")
        below = (f"/{flow.body}" if flow.body else "") + {"once": "", "time": "/h", "day": "/day"}[
            flow.timed
        ]
        return parse_unit(f"{above}{below}")
    named = {p: FINDS[name] for name, (p, _, _) in ONE_PART.items()}
    extra = {
        Part.CONTAINER_VOLUME: "mL",
        Part.STOCK_VOLUME: "mL",
        Part.MAINTENANCE: "mL/day" if rule == "100-50-20" else "mL/h",
        Part.REPLACEMENT: "mL/h",
        Part.START: "h",
        Part.FINISH: "h",
        Part.FLUID_PER_PERCENT: "mL/kg/%",
    }
    text = named.get(part) or extra.get(part)
    if text:
        return parse_unit(text)
    amount = drug.text if drug else "mg"
    return parse_unit(amount if part is Part.CONTAINER_AMOUNT else f"{amount}/mL")
