"""A calculation problem: read from a mapping of texts, checked, each given bound to a part.

Here: the names a problem may use, the units each may have, and bounds that catch slips
of the pen. Not here: solving (`solve`). Every refusal names the given and the mend.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.quantity import (
    Quantity,
    Strength,
    decimals_written,
    format_quantity,
    measures,
    parse_clock,
    parse_duration,
    parse_number,
    parse_quantity,
    parse_strength,
)
from trainer.clinical.relations import MAINTENANCE_RULES, RULES, Part
from trainer.clinical.rounding import format_number
from trainer.clinical.units import (
    ATOMS,
    DRUG_DIMENSIONS,
    KG_PER_LB,
    Atom,
    Dimension,
    Unit,
    parse_unit,
    product_of,
)
from trainer.errors import ProblemError, QuantityError

D = Dimension
MOST_GIVEN_TEXT = 80

FINDS: dict[str, str] = {
    "rate": "mL/h",
    "volume": "mL",
    "duration": "h",
    "drip_rate": "gtt/min",
    "dose": "mg",
    "concentration": "mg/mL",
    "amount": "mg",
    "weight": "kg",
    "height": "cm",
    "bsa": "m2",
    "deficit": "mL",
    "resuscitation": "mL",
    "finish": "clock",
    "drop_factor": "gtt/mL",
    "doses_per_day": "doses/day",
    "diluent": "mL",
    "dehydration": "%",
    "burned": "%",
    "coefficient": "mL/kg/%",
}
"""What may be asked for, with the unit a question on the command line takes by default."""

GIVENS = (
    "volume", "duration", "rate", "drip_rate", "drop_factor", "dose", "doses_per_day", "weight",
    "height", "bsa", "concentration", "amount", "diluent", "start", "rule", "dehydration",
    "burned", "coefficient",
)  # fmt: skip
"""What may be given."""

PROBLEM_KEYS = frozenset({"id", "find", "unit", "given", "lb_per_kg"})
KEYS_OF_A_PUBLISHED_ROW = frozenset(
    {"category", "topic", "exact", "published", "rounding", "rounding_basis", "agrees",
     "published_answer_wrong", "source", "grade", "provenance", "note"}
)  # fmt: skip
"""Keys that a table of published examples has besides; they are not read."""

BOUNDS: dict[str, tuple[str, str, str]] = {
    "weight": ("0.2", "700", "kg"),
    "height": ("20", "280", "cm"),
    "bsa": ("0.05", "5", "m2"),
    "duration": ("0", "8784", "h"),
    "drop_factor": ("1", "200", "gtt/mL"),
    "drip_rate": ("0", "2000", "gtt/min"),
    "dehydration": ("0", "40", "%"),
    "burned": ("0", "100", "%"),
    "coefficient": ("0", "20", "mL/kg/%"),
    "doses_per_day": ("0", "96", "doses/day"),
    "volume": ("0", "100000", "mL"),
    "diluent": ("0", "100000", "mL"),
    "rate": ("0", "100000", "mL/h"),
    "concentration": ("0", "2000", "mg/mL"),
}
"""Beyond these a value is a slip of the pen. Chosen by us: wider than any patient."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """One given of a problem: its name, its text, and the quantity read from it."""

    name: str
    text: str
    quantity: Quantity | Strength

    @property
    def plain(self) -> Quantity:
        """The quantity as one value with one unit."""
        return self.quantity.quantity if isinstance(self.quantity, Strength) else self.quantity

    @property
    def size(self) -> Fraction:
        """The value in base units (mg or units, mL, h, cm, kg)."""
        return self.plain.value * self.plain.unit.size

    @property
    def half_last_place(self) -> Fraction:
        """Half of the last decimal place as written, in base units: how finely it is known."""
        scale = self.plain.unit.size
        if isinstance(self.quantity, Strength):
            scale = scale / self.quantity.volume.value
        return Fraction(1, 2 * 10 ** decimals_written(self.text)) * scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """A problem as asked. `given` keeps the order and the text as written."""

    id: str
    find: str
    unit: str
    given: tuple[tuple[str, str], ...]
    lb_per_kg: str | None = None


def parse_problem(mapping: object) -> Problem:
    """The problem in a mapping of texts.

    >>> parse_problem({"id": "a", "find": "rate", "unit": "mL/h",
    ...     "given": {"volume": "1000 mL", "duration": "8 h"}}).find
    'rate'

    Raises:
        ProblemError: naming the key that is missing, unknown or no text, and the mend.
    """
    if not isinstance(mapping, Mapping):
        raise ProblemError("a problem is an object with id, find, unit and given; write one")
    unknown = [str(k) for k in mapping if k not in PROBLEM_KEYS | KEYS_OF_A_PUBLISHED_ROW]
    if unknown:
        raise ProblemError(
            f"`{unknown[0][:30]}` is not a key of a problem; "
            "it has id, find, unit, given and, if pounds are converted, lb_per_kg"
        )
    given = mapping.get("given")
    if not isinstance(given, Mapping):
        raise ProblemError('given is missing or no object; write {"volume": "100 mL", ...}')
    return Problem(
        id=_text(mapping, "id", "a name for the problem"),
        find=_text(mapping, "find", "what is asked, such as rate"),
        unit=_text(mapping, "unit", "the unit of the answer, such as mL/h"),
        given=tuple((str(name), _given_text(name, text)) for name, text in given.items()),
        lb_per_kg=_text(mapping, "lb_per_kg", "2.2 lb per kg")
        if mapping.get("lb_per_kg") is not None
        else None,
    )


def _text(mapping: Mapping[object, object], key: str, example: str) -> str:
    value = mapping.get(key)
    if value is None:
        raise ProblemError(f"{key} is missing; write {example}")
    if not isinstance(value, str):
        raise ProblemError(f"{key} must be text; write {example}, in quotes")
    if not value.strip():
        raise ProblemError(f"{key} is empty; write {example}")
    return value


def _given_text(name: object, text: object) -> str:
    if isinstance(text, str):
        return text
    example = '"2"' if name == "doses_per_day" else 'such as "18.2 kg"'
    raise ProblemError(f"given {name} must be text with its unit; write it in quotes, {example}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A problem read through: what is wanted, in which unit, and from what.

    Attributes:
        part: the quantity wanted.
        unit: the unit wanted.
        known: each given bound to the quantity it is.
        rules: the relations of the rules named.
        rule: the maintenance or surface rule named; empty if none.
        kg_per_lb: the pound used.
    """

    problem: Problem
    part: Part
    unit: Unit
    known: tuple[tuple[Part, Given], ...]
    rule: str
    kg_per_lb: Fraction


def read_problem(problem: Problem) -> Asked:
    """The problem with every text read, bound and checked.

    Raises:
        ProblemError: if the question or a given's name is unknown, or kinds do not fit.
        QuantityError: if a given or the unit cannot be read.
    """
    _check_names(problem)
    kg_per_lb = parse_pound(problem.lb_per_kg)
    texts = dict(problem.given)
    rule = _rule(texts.pop("rule", None))
    givens = {name: _read_given(name, text, kg_per_lb) for name, text in texts.items()}
    unit = _wanted_unit(problem, kg_per_lb, givens)
    _refuse_mixed_drugs(givens, problem.find, unit)
    return Asked(
        problem=problem,
        part=_wanted_part(problem, unit, givens),
        unit=unit,
        known=tuple((_bound_part(g, givens, problem.find), g) for g in givens.values()),
        rule=rule,
        kg_per_lb=kg_per_lb,
    )


def _check_names(problem: Problem) -> None:
    if problem.find not in FINDS:
        raise ProblemError(
            f"find: `{problem.find[:30]}` is not asked for; write one of {', '.join(FINDS)}"
        )
    for name, _ in problem.given:
        if name not in GIVENS:
            raise ProblemError(
                f"given: `{name[:30]}` is not a name of a given; write one of {', '.join(GIVENS)}"
            )
    if not problem.given:
        raise ProblemError(f"nothing is given to find the {problem.find} from")


def parse_pound(text: str | None) -> Fraction:
    """Kilograms per pound, from `2.2 lb per kg` or `0.45359237 kg per lb`.

    >>> parse_pound("2.2 lb per kg")
    Fraction(5, 11)

    Raises:
        QuantityError: if it is neither form, or no pound.
    """
    if text is None:
        return KG_PER_LB
    match = re.fullmatch(
        r"\s*([0-9.,]+)\s*(?:(lbs?)\s*(?:per|/)\s*kg|kg\s*(?:per|/)\s*lbs?)\s*", text
    )
    if not match:
        raise QuantityError(f"lb_per_kg: `{text[:30]}` is not readable; write 2.2 lb per kg")
    number = parse_number(match[1], what="lb_per_kg")
    if number == 0:
        raise QuantityError("lb_per_kg: zero is no pound; write 2.2 lb per kg")
    kg_per_lb = 1 / number if match[2] else number
    if not Fraction("0.44") <= kg_per_lb <= Fraction("0.47"):
        raise QuantityError(
            f"lb_per_kg: `{text[:30]}` is no pound; write 2.2 lb per kg or 0.45359237 kg per lb"
        )
    return kg_per_lb


def _rule(text: str | None) -> str:
    if text is None:
        return ""
    rule = re.sub(r"\s*[-\u2010-\u2015:/]\s*", "-", text.strip().lower())
    if rule not in RULES:
        raise ProblemError(f"rule: `{text[:30]}` is unknown; write one of {', '.join(RULES)}")
    return rule


def _read_given(name: str, text: str, kg_per_lb: Fraction) -> Given:
    """One given, read, above zero and within its bounds."""
    given = Given(name=name, text=" ".join(text.split()), quantity=_read(name, text, kg_per_lb))
    if given.size == 0 and name != "start":
        raise QuantityError(f"{name}: zero makes no sense here; write a value above zero")
    _check_kind(given)
    _check_bounds(given, kg_per_lb)
    return given


def _read(name: str, text: str, kg_per_lb: Fraction) -> Quantity | Strength:
    if name == "concentration":
        return parse_strength(text)
    if name == "duration":
        return parse_duration(text)
    if name == "start":
        return Quantity(value=Fraction(parse_clock(text)), unit=parse_unit("min"))
    if name == "doses_per_day":
        return _read_dosesis_per_day(text)
    if name == "coefficient":
        return _read_coefficient(text, kg_per_lb)
    of_body = {"weight": True, "amount": False}.get(name)
    return parse_quantity(text, what=name, kg_per_lb=kg_per_lb, of_body=of_body)


def _read_dosesis_per_day(text: str) -> Quantity:
    """`4`, `4 doses/day`, `4 /day` or `every 6 h`, as doses per day."""
    every = re.fullmatch(r"\s*(?:every|q)\s*([0-9.]+)\s*(?:h|hr|hrs|hours?)\s*", text)
    if every:
        hours = parse_number(every[1], what="doses_per_day")
        if hours == 0:
            raise QuantityError("doses_per_day: every 0 h makes no sense; write every 6 h, or 4")
        number = 24 / hours
    else:
        bare = re.sub(r"\s*(doses?|times)?\s*(/|per|a)?\s*(day)?\s*$", "", text)
        number = parse_number(bare, what="doses_per_day")
    return Quantity(value=number, unit=parse_unit("doses/day"))


def _read_coefficient(text: str, kg_per_lb: Fraction) -> Quantity:
    """`3 mL/kg/%`; the percent may be left out, as the burn formulas are spoken."""
    if re.fullmatch(r"\s*[0-9.,]+\s*", text):
        text = f"{text} mL/kg/%"
    quantity = parse_quantity(
        re.sub(r"\s*TBSA\b", "", text), what="coefficient", kg_per_lb=kg_per_lb
    )
    if quantity.unit.dimensions == ((D.BODY, -1), (D.VOLUME, 1)):
        unit = parse_unit(f"{quantity.unit.text}/%", kg_per_lb=kg_per_lb)
        return Quantity(value=quantity.value, unit=unit)
    return quantity


def _check_kind(given: Given) -> None:
    """The given measures what its name says."""
    name, unit = given.name, given.plain.unit
    if name in ONE_PART:
        _, dimensions, example = ONE_PART[name]
        if unit.dimensions != tuple(sorted(dimensions)):
            _refuse_kind(given, example)
    elif name == "amount" and not _is_drug_once(unit) and unit.dimensions != ((D.VOLUME, 1),):
        _refuse_kind(given, "500 mg; a dose per kg or per time is a dose")
    elif name in {"rate", "volume", "dose"}:
        _check_flow(given)


def _check_flow(given: Given) -> None:
    flow = flow_of(given.plain.unit)
    if given.name == "dose" and flow is None:
        _refuse_kind(given, "5 mcg/kg/min, 10 mg/kg or 500 mg")
    if given.name == "volume" and (flow is None or flow.of != "volume" or flow.timed != "once"):
        _refuse_kind(given, "250 mL; a volume per time is a rate")
    if given.name == "rate" and (flow is None or flow.of != "volume" or flow.timed == "once"):
        dose_or_drops = "a drug per time is a dose, drops per time are a drip_rate"
        _refuse_kind(given, f"40 mL/h; {dose_or_drops}")


def _refuse_kind(given: Given, example: str) -> None:
    raise QuantityError(
        f"{given.name}: {given.text} is {measures(given.plain.unit)}, which is no {given.name}; "
        f"write it as {example}"
    )


def _check_bounds(given: Given, kg_per_lb: Fraction) -> None:
    if is_absurd(given.name, given.plain, kg_per_lb):
        least, most, unit_text = BOUNDS[given.name]
        raise QuantityError(
            f"{given.name}: {given.text} is absurd (possible are "
            f"{format_number(Fraction(least))} to {format_number(Fraction(most))} {unit_text}); "
            "check the number and the unit"
        )


def is_absurd(name: str, quantity: Quantity, kg_per_lb: Fraction = KG_PER_LB) -> bool:
    """Whether a value lies outside `BOUNDS`; False where there are none for its unit.

    >>> is_absurd("weight", parse_quantity("1820 kg"))
    True
    """
    if name not in BOUNDS:
        return False
    least, most, unit_text = BOUNDS[name]
    unit = parse_unit(unit_text, kg_per_lb=kg_per_lb)
    if unit.dimensions != quantity.unit.dimensions:
        return False
    return not Fraction(least) <= quantity.in_unit(unit) <= Fraction(most)


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


def _is_drug_once(unit: Unit) -> bool:
    return flow_of(unit) == Flow(of="drug", body="", timed="once")


def is_per_day(unit: Unit) -> bool:
    """Whether the unit is written per day."""
    return any(atom.symbol == "day" and power == -1 for atom, power in unit.powers)


PERCENT_STRENGTH_UNIT = Unit(
    text="%",
    powers=(
        (ATOMS["g"], 1),
        (Atom(symbol="(100 mL)", dimension=D.VOLUME, size=Fraction(100)), -1),
    ),
)
"""Percent as the unit of a concentration: grams per 100 mL."""


def _wanted_unit(problem: Problem, kg_per_lb: Fraction, givens: dict[str, Given]) -> Unit:
    if problem.find == "finish":
        if problem.unit.strip() != "clock":
            raise ProblemError("unit: a finish is a time of day; write clock")
        return parse_unit("h")
    if problem.find == "concentration" and problem.unit.strip() in {"%", "percent"}:
        return PERCENT_STRENGTH_UNIT
    if problem.find == "doses_per_day" and problem.unit.strip() in {"1", "doses"}:
        return parse_unit("doses/day")
    of_body = {"weight": True, "amount": False, "concentration": False}.get(problem.find)
    if problem.unit.strip() == "clock":
        raise ProblemError("unit: clock is for a finish; write a unit such as mL/h")
    unit = parse_unit(problem.unit, what="unit", kg_per_lb=kg_per_lb, of_body=of_body)
    if not _fits(problem.find, unit, set(givens)):
        raise ProblemError(
            f"unit: {unit.text} is {measures(unit)}, which is no {problem.find}; {_unit_mend(problem.find, unit)}"
        )
    return unit


def _fits(find: str, unit: Unit, names: set[str]) -> bool:
    """Whether an answer to this question can have this unit."""
    if find in ONE_PART:
        return unit.dimensions == tuple(sorted(ONE_PART[find][1]))
    if find == "amount":
        return _is_drug_once(unit) or (names == {"amount"} and unit.dimensions == ((D.VOLUME, 1),))
    flow = flow_of(unit)
    if find == "concentration":
        return _is_strength(unit)
    if flow is None:
        return False
    if find == "rate":
        return flow.of == "volume" and flow.timed == "time"
    if find == "volume":
        return flow.of == "volume" and (flow.timed == "once" or is_per_day(unit))
    return find == "dose"


def _is_strength(unit: Unit) -> bool:
    dimensions = dict(unit.dimensions)
    volume = dimensions.pop(D.VOLUME, 0)
    return (
        volume == -1
        and len(dimensions) == 1
        and dimensions.popitem() in {(dimension, 1) for dimension in DRUG_DIMENSIONS}
    )


def _unit_mend(find: str, unit: Unit) -> str:
    """What to ask instead: the question that this unit answers, or this question's unit."""
    flow = flow_of(unit)
    better = next((name for name in FINDS if name != find and _fits(name, unit, set())), None)
    default = f"write a unit such as {FINDS[find]}"
    if flow is None and better is None:
        return default
    return f"{default}, or ask for the {better}" if better else default


def _wanted_part(problem: Problem, unit: Unit, givens: dict[str, Given]) -> Part:
    """The quantity that the question and its unit mean."""
    find = problem.find
    if find in ONE_PART:
        return ONE_PART[find][0]
    if find == "finish":
        return Part.FINISH
    if find == "concentration":
        return Part.CONCENTRATION
    flow = flow_of(unit)
    if flow is None:  # pragma: no cover - `_fits` has refused such a unit
        raise ProblemError(f"unit: {unit.text} does not fit {find}")
    if find in {"dose", "volume"} and _is_daily(flow, unit, givens, find):
        return FLOW_PARTS[Flow(of=flow.of, body=flow.body, timed="day")]
    return FLOW_PARTS[flow]


def _is_daily(flow: Flow, unit: Unit, givens: dict[str, Given], find: str) -> bool:
    """Whether a dose per day is one of so many doses, not a constant rate."""
    in_doses = "doses_per_day" in givens or find == "doses_per_day"
    return flow.timed == "time" and is_per_day(unit) and in_doses


def _bound_part(given: Given, givens: dict[str, Given], find: str) -> Part:
    """The quantity that a given is, seen together with the others."""
    name, unit = given.name, given.plain.unit
    diluted = "diluent" in givens or find == "diluent"
    if name in ONE_PART:
        return ONE_PART[name][0]
    if name == "start":
        return Part.START
    if name == "concentration":
        return Part.STOCK_CONCENTRATION if "diluent" in givens else Part.CONCENTRATION
    if name == "amount":
        return Part.CONTAINER_AMOUNT if _is_drug_once(unit) else Part.CONTAINER_VOLUME
    flow = flow_of(unit)
    if flow is None:  # pragma: no cover - `_check_flow` has refused such a unit
        raise ProblemError(f"{name}: {given.text} does not fit")
    if name == "volume" and not flow.body and (diluted or "amount" in givens):
        return Part.STOCK_VOLUME if diluted else Part.CONTAINER_VOLUME
    if name == "dose" and _is_daily(flow, unit, givens, find):
        return FLOW_PARTS[Flow(of=flow.of, body=flow.body, timed="day")]
    return FLOW_PARTS[flow]


def _refuse_mixed_drugs(givens: dict[str, Given], find: str, unit: Unit) -> None:
    """One problem speaks of one kind of drug: all in grams, or all in units ..."""
    kinds = {name: drug_dimension(given.plain.unit) for name, given in givens.items()}
    kinds["answer"] = drug_dimension(unit)
    named = [(name, kind) for name, kind in kinds.items() if kind is not None]
    for name, kind in named[1:]:
        if kind is not named[0][1]:
            first = format_quantity(givens[named[0][0]].plain)
            second = unit.text if name == "answer" else format_quantity(givens[name].plain)
            raise ProblemError(
                f"{named[0][0]} and {name} speak of different things: {first} is in "
                f"{named[0][1]}, {second} in {kind}; one does not convert into the other"
            )


def drug_dimension(unit: Unit) -> Dimension | None:
    """The dimension in which the unit counts a drug; None if it does not."""
    return next((d for d, power in unit.dimensions if power == 1 and d in DRUG_DIMENSIONS), None)


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


def drug_unit(asked_units: tuple[Unit, ...]) -> Unit | None:
    """The first unit of drug among these, for showing in-between amounts."""
    for unit in asked_units:
        for atom, power in unit.powers:
            if power == 1 and atom.dimension in DRUG_DIMENSIONS:
                return product_of(((atom, 1),))
    return None


def is_maintenance(rule: str) -> bool:
    """Whether the rule named gives maintenance fluid."""
    return rule in MAINTENANCE_RULES


def label_of(find: str) -> str:
    """What is asked, in words."""
    words = {"bsa": "body surface area", "resuscitation": "resuscitation volume"}
    return words.get(find, find.replace("_", " "))
