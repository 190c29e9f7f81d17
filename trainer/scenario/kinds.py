"""The kinds of value that a key can take: how each is read, and what the reference says.

Here: one annotated type for each kind, joining a reader of `values` with the words that
the format reference prints. Not here: the keys (`schema`). For `trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from pydantic import BeforeValidator, PlainValidator

from trainer.clinical.quantity import Quantity
from trainer.clinical.rounding import Manner
from trainer.scenario import hydraulic_values, response_values, values
from trainer.scenario.places import listed
from trainer.terms import (
    AlarmKind,
    Clamp,
    Credit,
    CueKind,
    Curve,
    Domain,
    Drive,
    Driver,
    Happening,
    Priority,
    Purpose,
    Role,
    Running,
    Site,
    Verb,
    Where,
)

FORMAT = 1
FILE_KINDS = ("scenario", "policy", "formulary")
RULES = ("4-2-1", "100-50-20")
ORDER_KINDS = ("continuous", "intermittent", "bolus")
SUPPLY_KINDS = ("bag", "bottle", "syringe")
ACCESS_KINDS = ("peripheral", "central")
LIMITS_OF = ("dose", "rate", "concentration", "daily dose")
PLACES_TO_CONNECT = ("port", "access")
PEOPLE = ("prescriber", "charge nurse", "pharmacist", "family")
SURENESS = ("guess", "fairly", "certain")
AIR_CLEARED_HOW = ("tap up to the chamber", "draw off at the port", "draw off below the pump")
ASKED = ("dose", "volume", "rate", "duration", "drip_rate")
VALVE_STATES = ("works", "stuck")
ROUNDED = (
    "any", "rate", "volume", "dose", "amount", "drip_rate", "duration", "concentration", "weight",
    "height", "bsa", "deficit", "resuscitation",
)  # fmt: skip
ENDS = (str(Running.KEEPING_OPEN), str(Running.COMPLETE))
MENDS = (str(Verb.STRAIGHTEN), str(Verb.REPOSITION), str(Verb.OPEN_CLAMP))
VARIABLE = ("patient.weight",)
LESSENED = (
    str(Credit.AFTER_REALITY_CUE), str(Credit.AFTER_CONCEPTUAL_CUE), str(Credit.SELF_CORRECTED),
)  # fmt: skip
"""The levels of credit to which a policy can give a share of the points."""
ALL = "all"
BARRED = (ALL, *(str(domain) for domain in Domain))
"""What a policy can set a bar for."""
USUAL_PRIORITIES = {
    AlarmKind.CHECK_SET: Priority.HIGH,
    AlarmKind.POWER_LOST: Priority.LOW,
    AlarmKind.LOW_BATTERY: Priority.LOW,
    AlarmKind.BATTERY_DEPLETED: Priority.HIGH,
}
"""The priority of a condition that a policy need not name: IEC 60601-2-24, from memory."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What the format reference says of a kind of value."""

    words: str


def choice(words: Iterable[str]) -> Kind:
    """A kind of value that is one of a few words."""
    return Kind(listed([f"`{word}`" for word in words]))


def _read_format(value: object) -> int:
    if value != FORMAT or isinstance(value, bool):
        raise values.WrongValueError(
            f"`{str(value)[:20]}` is no version of the format", f"write {FORMAT}"
        )
    return FORMAT


def _read_end(value: object) -> Running:
    return Running(values.one_of(ENDS, "end of an infusion")(value))


def _read_mend(value: object) -> Verb:
    return Verb(values.one_of(MENDS, "act that frees a line")(value))


def _read_valve(value: object) -> bool:
    return values.one_of(VALVE_STATES, "state of a valve")(value) == VALVE_STATES[0]


def _as_list(value: object) -> object:
    """One name stands for a list of one."""
    return [value] if isinstance(value, str) else value


Version = Annotated[int, PlainValidator(_read_format), Kind("`1`")]
FileKind = Annotated[
    str, PlainValidator(values.one_of(FILE_KINDS, "kind of file")), choice(FILE_KINDS)
]
Text = Annotated[str, PlainValidator(values.read_text), Kind("words")]
Id = Annotated[str, PlainValidator(values.read_id), Kind("an id")]
Ids = Annotated[list[Id], BeforeValidator(_as_list), Kind("one id or a list of them")]
StepName = Annotated[
    str, PlainValidator(values.read_name_of_step), Kind("a step: its id or its act")
]
StepNames = Annotated[list[StepName], BeforeValidator(_as_list), Kind("one step or a list of them")]
Whole = Annotated[int, PlainValidator(values.read_whole), Kind("a whole number")]
LineNumber = Annotated[int, PlainValidator(values.read_line_number), Kind("a line's number")]
Truth = Annotated[bool, PlainValidator(values.read_truth), Kind("`true` or `false`")]
Typed = Annotated[str, PlainValidator(values.read_typed), Kind("what is typed or said")]
Clock = Annotated[str, PlainValidator(values.read_clock), Kind("a time of day, `08:50`")]
Age = Annotated[values.Age, PlainValidator(values.read_age), Kind("an age, `3 years 4 months`")]
SignValue = Annotated[
    tuple[str, str], PlainValidator(values.read_sign), Kind("a value and its unit, `112 /min`")
]
Threshold = Annotated[
    response_values.Threshold,
    PlainValidator(response_values.read_threshold),
    Kind("a number and its unit, `130 /min`"),
]
ResponseSize = Annotated[
    response_values.Size,
    PlainValidator(response_values.read_size),
    Kind("a change, `-25 /min` or `0.5 mmHg per mL/kg`"),
]
Driving = Annotated[
    Quantity,
    PlainValidator(response_values.read_driving),
    Kind("a level, a rate or a volume by weight, `5 mcg/L`"),
]

Volume = Annotated[Fraction, PlainValidator(values.read_volume), Kind("a volume, `40 mL`")]
AnyVolume = Annotated[
    Fraction, PlainValidator(values.read_any_volume), Kind("a volume, `40 mL` or `0 mL`")
]
Rate = Annotated[Fraction, PlainValidator(values.read_rate), Kind("a rate, `40 mL/h`")]
Duration = Annotated[int, PlainValidator(values.read_duration), Kind("a duration, `1 h 30 min`")]
AnyDuration = Annotated[
    int, PlainValidator(values.read_any_duration), Kind("a duration, `10 min` or `0 min`")
]
Hours = Annotated[Fraction, PlainValidator(values.read_hours), Kind("a duration, `2 h`")]
Seconds = Annotated[Fraction, PlainValidator(values.read_seconds), Kind("a duration, `15 s`")]
Weight = Annotated[Quantity, PlainValidator(values.read_weight), Kind("a weight, `18.2 kg`")]
WeightStep = Annotated[
    Quantity, PlainValidator(values.read_weight_step), Kind("a weight, `0.2 kg`")
]
Dose = Annotated[
    Quantity, PlainValidator(values.read_dose), Kind("a dose, `20 mL/kg` or `50 mg/kg`")
]
Strength = Annotated[
    Quantity, PlainValidator(values.read_strength), Kind("a strength, `2 mg/mL` or `1 g in 50 mL`")
]
LimitEnd = Annotated[Quantity, PlainValidator(values.read_limit), Kind("a quantity with its unit")]
DropFactor = Annotated[
    Fraction, PlainValidator(values.read_drop_factor), Kind("drops in a mL, `20 gtt/mL`")
]
LitresPerKg = Annotated[
    Fraction, PlainValidator(values.read_litres_per_kg), Kind("a volume per weight, `0.6 L/kg`")
]
Pressure = Annotated[Fraction, PlainValidator(values.read_pressure), Kind("a pressure, `300 mmHg`")]
Compliance = Annotated[
    Fraction, PlainValidator(values.read_compliance), Kind("a compliance, `0.001 mL/mmHg`")
]
AnyPressure = Annotated[
    Fraction, PlainValidator(hydraulic_values.read_any_pressure), Kind("a pressure, `8 mmHg`")
]
Give = Annotated[
    Fraction, PlainValidator(hydraulic_values.read_give), Kind("a compliance, `1 mL/mmHg`")
]
Resistance = Annotated[
    Fraction,
    PlainValidator(hydraulic_values.read_resistance),
    Kind("a resistance, `0.012 mmHg per mL/h`"),
]
Flow = Annotated[Fraction, PlainValidator(hydraulic_values.read_flow), Kind("a flow, `20 mL/min`")]
Height = Annotated[
    Fraction, PlainValidator(hydraulic_values.read_height), Kind("a height, `90 cm` or `-20 cm`")
]
HeightAbove = Annotated[
    Fraction, PlainValidator(hydraulic_values.read_height_above), Kind("a height, `90 cm`")
]
Share = Annotated[
    Fraction, PlainValidator(hydraulic_values.read_share), Kind("a share, `30 %` or `0 %`")
]
Opening = Annotated[
    Fraction, PlainValidator(hydraulic_values.read_opening), Kind("a share, `12.5 %` or `0 %`")
]
Percent = Annotated[Fraction, PlainValidator(values.read_percent), Kind("a share, `10 %`")]
LbPerKg = Annotated[Fraction, PlainValidator(values.read_lb_per_kg), Kind("`2.2 lb per kg`")]

Act = Annotated[Verb, PlainValidator(values.member_of(Verb, "act")), Kind("an act")]
RoleWord = Annotated[Role, PlainValidator(values.member_of(Role, "role")), choice(Role)]
ClampWord = Annotated[Clamp, PlainValidator(values.member_of(Clamp, "clamp")), choice(Clamp)]
WhereWord = Annotated[
    Where, PlainValidator(values.member_of(Where, "side of the pump")), choice(Where)
]
SiteWord = Annotated[Site, PlainValidator(values.member_of(Site, "state of a site")), choice(Site)]
DriveWord = Annotated[
    Drive, PlainValidator(values.member_of(Drive, "drive of a line")), choice(Drive)
]
DriverWord = Annotated[
    Driver, PlainValidator(values.member_of(Driver, "driver of a response")), choice(Driver)
]
CurveWord = Annotated[Curve, PlainValidator(values.member_of(Curve, "curve")), choice(Curve)]
ValveWord = Annotated[bool, PlainValidator(_read_valve), choice(VALVE_STATES)]
DomainWord = Annotated[
    Domain, PlainValidator(values.member_of(Domain, "part of the work")), choice(Domain)
]
CueWord = Annotated[
    CueKind, PlainValidator(values.member_of(CueKind, "kind of cue")), choice(CueKind)
]
PurposeWord = Annotated[
    Purpose, PlainValidator(values.member_of(Purpose, "purpose")), choice(Purpose)
]
CreditWord = Annotated[
    str, PlainValidator(values.one_of(LESSENED, "level of credit")), choice(LESSENED)
]
BarredWord = Annotated[
    str, PlainValidator(values.one_of(BARRED, "part of the work")), choice(BARRED)
]
HappeningWord = Annotated[
    Happening, PlainValidator(values.member_of(Happening, "happening")), Kind("a happening")
]
AlarmWord = Annotated[
    AlarmKind,
    PlainValidator(values.member_of(AlarmKind, "alarm condition")),
    Kind("an alarm condition"),
]
PriorityWord = Annotated[
    Priority, PlainValidator(values.member_of(Priority, "priority")), choice(Priority)
]
MannerWord = Annotated[
    Manner, PlainValidator(values.member_of(Manner, "manner of rounding")), choice(Manner)
]
EndWord = Annotated[Running, PlainValidator(_read_end), choice(ENDS)]
MendWord = Annotated[Verb, PlainValidator(_read_mend), choice(MENDS)]

RuleWord = Annotated[str, PlainValidator(values.one_of(RULES, "rule")), choice(RULES)]
OrderKind = Annotated[
    str, PlainValidator(values.one_of(ORDER_KINDS, "kind of order")), choice(ORDER_KINDS)
]
SupplyKind = Annotated[
    str, PlainValidator(values.one_of(SUPPLY_KINDS, "kind of container")), choice(SUPPLY_KINDS)
]
AccessKind = Annotated[
    str, PlainValidator(values.one_of(ACCESS_KINDS, "kind of access")), choice(ACCESS_KINDS)
]
LimitOf = Annotated[str, PlainValidator(values.one_of(LIMITS_OF, "limit")), choice(LIMITS_OF)]
ConnectAt = Annotated[
    str,
    PlainValidator(values.one_of(PLACES_TO_CONNECT, "place on a line")),
    choice(PLACES_TO_CONNECT),
]
Person = Annotated[str, PlainValidator(values.one_of(PEOPLE, "person")), choice(PEOPLE)]
Sureness = Annotated[
    str, PlainValidator(values.one_of(SURENESS, "degree of certainty")), choice(SURENESS)
]
Asked = Annotated[str, PlainValidator(values.one_of(ASKED, "quantity")), choice(ASKED)]
Rounded = Annotated[str, PlainValidator(values.one_of(ROUNDED, "quantity")), choice(ROUNDED)]
Variable = Annotated[
    str, PlainValidator(values.one_of(VARIABLE, "value that can vary")), choice(VARIABLE)
]
