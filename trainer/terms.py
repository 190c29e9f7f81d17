"""The closed vocabulary: what can be done, what can happen, what can be said about it.

The texts are the same in YAML, on forms, in the log and in this code, so an author,
a reader of a log and a programmer use one set of words. Who may import this: everyone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

TRAINING_NOTICE = (
    "For training only. At work follow the prescriber's order, your local policy, "
    "the drug's labelling and licensed staff."
)
"""Stands on every page and print that shows a dose."""

AIR = "air"
"""The id that stands for air where a fluid's id is expected."""


class Verb(StrEnum):
    """Everything a learner can do at the bedside."""

    CLEAN_HANDS = "clean hands"
    IDENTIFY_PATIENT = "identify patient"
    CHECK_ALLERGIES = "check allergies"
    VERIFY_ORDER = "verify order"
    QUESTION_ORDER = "question order"
    CALCULATE = "calculate"
    CHOOSE = "choose"
    INSPECT = "inspect"
    LABEL = "label"
    HANG = "hang"
    TAKE_DOWN = "take down"
    SPIKE = "spike"
    ATTACH_SYRINGE = "attach syringe"
    OPEN_AIR_INLET = "open air inlet"
    FILL_CHAMBER = "fill chamber"
    LOWER_PRIMARY = "lower primary"
    RAISE_PRIMARY = "raise primary"
    SET_HEIGHT = "set height"
    OPEN_CLAMP = "open clamp"
    CLOSE_CLAMP = "close clamp"
    TURN_CLAMP = "turn clamp"
    COUNT_DROPS = "count drops"
    PRIME = "prime"
    CLEAR_AIR = "clear air"
    SCRUB_HUB = "scrub hub"
    CONNECT = "connect"
    DISCONNECT = "disconnect"
    LOAD = "load"
    UNLOAD = "unload"
    PLUG_IN = "plug in"
    ENTER = "enter"
    SECOND_CHECK = "second check"
    START = "start"
    STOP = "stop"
    PAUSE_SOUND = "pause sound"
    RESET_ALARM = "reset alarm"
    LOOK_AT_SITE = "look at site"
    LOOK_AT_PATIENT = "look at patient"
    LOOK_AT_CONTAINER = "look at container"
    MEASURE = "measure"
    FOLLOW_LINE = "follow line"
    STRAIGHTEN = "straighten"
    REPOSITION = "reposition"
    REMOVE_CATHETER = "remove catheter"
    RESITE = "resite"
    RELEASE_PRESSURE = "release pressure"
    FLUSH = "flush"
    NOTIFY = "notify"
    READ_BACK = "read back"
    CHART = "chart"
    TEACH = "teach"
    WAIT = "wait"


class Param(StrEnum):
    """What an act may carry beside its verb. Every value travels as text, as typed."""

    LINE = "line"  # a line's number
    ROLE = "role"  # primary or secondary
    CLAMP = "clamp"  # primary, secondary or patient
    SUPPLY = "supply"  # a supply's id
    ORDER = "order"  # an order's id
    ACCESS = "access"  # an access's id
    AT = "at"  # port (the line's access port) or access
    WHAT = "what"  # what is calculated, charted or taught
    ENTERED = "entered"  # a value worked out, with its unit
    SURE = "sure"  # guess, fairly, certain
    VOLUME = "volume"  # mL, as typed
    DURATION = "duration"  # as typed, "1 h 30 min"
    RATE = "rate"  # mL/h, as typed
    SECONDS = "seconds"
    HOW = "how"
    WHO = "who"  # prescriber, charge nurse, pharmacist, family
    TEXT = "text"  # free words of the learner
    LENGTH = "length"  # how long to wait, "5 min"
    HEIGHT = "height"  # of a container or a syringe above the site, "90 cm"
    OPENING = "opening"  # of a roller clamp, "12.5 %"
    FLUID = "fluid"  # what the learner tells the pump runs, a fluid's id
    REASON = "reason"  # why a soft limit is overridden


@dataclass(frozen=True, slots=True)
class Shape:
    """Which parameters a verb must and may carry."""

    needs: tuple[Param, ...] = ()
    may: tuple[Param, ...] = ()


_LINE = (Param.LINE,)
_LINE_ROLE = (Param.LINE, Param.ROLE)

SHAPES: dict[Verb, Shape] = {
    Verb.CLEAN_HANDS: Shape(),
    Verb.IDENTIFY_PATIENT: Shape(),
    Verb.CHECK_ALLERGIES: Shape(),
    Verb.VERIFY_ORDER: Shape((Param.ORDER,)),
    Verb.QUESTION_ORDER: Shape((Param.ORDER,), (Param.TEXT,)),
    Verb.CALCULATE: Shape((Param.ORDER, Param.WHAT, Param.ENTERED), (Param.SURE,)),
    Verb.CHOOSE: Shape((Param.SUPPLY,)),
    Verb.INSPECT: Shape((Param.SUPPLY,)),
    Verb.LABEL: Shape((Param.SUPPLY,)),
    Verb.HANG: Shape((Param.LINE, Param.ROLE, Param.SUPPLY)),
    Verb.TAKE_DOWN: Shape(_LINE_ROLE),
    Verb.SPIKE: Shape(_LINE_ROLE),
    Verb.ATTACH_SYRINGE: Shape((Param.LINE, Param.SUPPLY)),
    Verb.OPEN_AIR_INLET: Shape(_LINE_ROLE),
    Verb.FILL_CHAMBER: Shape(_LINE_ROLE),
    Verb.LOWER_PRIMARY: Shape(_LINE),
    Verb.RAISE_PRIMARY: Shape(_LINE),
    Verb.SET_HEIGHT: Shape((Param.LINE, Param.HEIGHT)),
    Verb.OPEN_CLAMP: Shape((Param.LINE, Param.CLAMP)),
    Verb.CLOSE_CLAMP: Shape((Param.LINE, Param.CLAMP)),
    Verb.TURN_CLAMP: Shape((Param.LINE, Param.OPENING)),
    Verb.COUNT_DROPS: Shape((Param.LINE, Param.SECONDS), (Param.ROLE,)),
    Verb.PRIME: Shape(_LINE_ROLE),
    Verb.CLEAR_AIR: Shape((Param.LINE, Param.HOW)),
    Verb.SCRUB_HUB: Shape((Param.LINE, Param.AT, Param.SECONDS)),
    Verb.CONNECT: Shape((Param.LINE, Param.AT)),
    Verb.DISCONNECT: Shape((Param.LINE, Param.AT)),
    Verb.LOAD: Shape(_LINE),
    Verb.UNLOAD: Shape(_LINE),
    Verb.PLUG_IN: Shape(_LINE),
    Verb.ENTER: Shape(
        _LINE_ROLE, (Param.VOLUME, Param.DURATION, Param.RATE, Param.FLUID, Param.REASON)
    ),
    Verb.SECOND_CHECK: Shape(_LINE),
    Verb.START: Shape(_LINE),
    Verb.STOP: Shape(_LINE),
    Verb.PAUSE_SOUND: Shape(),
    Verb.RESET_ALARM: Shape(_LINE),
    Verb.LOOK_AT_SITE: Shape((Param.ACCESS,)),
    Verb.LOOK_AT_PATIENT: Shape(),
    Verb.LOOK_AT_CONTAINER: Shape(_LINE),
    Verb.MEASURE: Shape((Param.WHAT,)),
    Verb.FOLLOW_LINE: Shape(_LINE),
    Verb.STRAIGHTEN: Shape(_LINE),
    Verb.REPOSITION: Shape((Param.ACCESS,)),
    Verb.REMOVE_CATHETER: Shape((Param.ACCESS,)),
    Verb.RESITE: Shape((Param.ACCESS,)),
    Verb.RELEASE_PRESSURE: Shape(_LINE),
    Verb.FLUSH: Shape((Param.LINE, Param.VOLUME)),
    Verb.NOTIFY: Shape((Param.WHO,), (Param.TEXT,)),
    Verb.READ_BACK: Shape((Param.ORDER,), (Param.TEXT,)),
    Verb.CHART: Shape((Param.WHAT,), (Param.TEXT, Param.LINE, Param.ORDER)),
    Verb.TEACH: Shape((Param.WHAT,)),
    Verb.WAIT: Shape((Param.LENGTH,)),
}
"""What every verb carries. Forms, the YAML checker and the log all read this table."""


class Role(StrEnum):
    """Which of a line's two inlets."""

    PRIMARY = "primary"
    SECONDARY = "secondary"


class Clamp(StrEnum):
    """The clamps of a line: one under each drip chamber, one next to the patient."""

    PRIMARY = "primary"
    SECONDARY = "secondary"
    PATIENT = "patient"


class Drive(StrEnum):
    """What moves a line's fluid."""

    PUMP = "pump"  # a volumetric pump on an administration set
    SYRINGE = "syringe"  # a syringe pushed by its pump; no drip chamber, no clamp above
    GRAVITY = "gravity"  # the height of the container, held back by a roller clamp


class Where(StrEnum):
    """Which side of the pump."""

    UPSTREAM = "upstream"
    DOWNSTREAM = "downstream"


class Running(StrEnum):
    """What a line's pump is doing."""

    IDLE = "idle"  # nothing started yet
    INFUSING = "infusing"
    KEEPING_OPEN = "keeping open"  # after the volume is complete, at the KVO rate
    STOPPED = "stopped"  # by the learner or by an alarm
    COMPLETE = "complete"  # volume given, flow stopped


class AlarmKind(StrEnum):
    """Alarm conditions, in the words of the published event nomenclature (IEEE 11073)."""

    DOWNSTREAM_OCCLUSION = "downstream occlusion"
    UPSTREAM_OCCLUSION = "upstream occlusion"
    AIR_IN_LINE = "air in line"
    CONTAINER_EMPTY = "container empty"
    INFUSION_COMPLETE = "infusion complete"
    INFUSION_NEAR_COMPLETE = "infusion near complete"
    ATTENTION_REMINDER = "attention reminder"
    CHECK_SET = "check administration set"
    POWER_LOST = "power lost"
    LOW_BATTERY = "low battery"
    BATTERY_DEPLETED = "battery depleted"


class Priority(StrEnum):
    """How soon an alarm condition wants an answer (IEC 60601-1-8)."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


class Site(StrEnum):
    """What is true of a catheter's site, looked at or not."""

    PATENT = "patent"
    PHLEBITIS = "phlebitis"  # inflamed; fluid still reaches the vein
    INFILTRATED = "infiltrated"  # fluid goes into the tissue
    BLOCKED = "blocked"  # nothing passes the catheter
    DISLODGED = "dislodged"  # out of the vein, leaking under the dressing
    REMOVED = "removed"  # taken out; nothing can be connected


class Happening(StrEnum):
    """What a scenario's event can do to the bedside."""

    LINE_BLOCKED = "line blocked"
    LINE_FREED = "line freed"
    AIR_ENTERS = "air enters"
    CALL = "call"
    ORDER_GIVEN = "order given"
    ORDER_ENDED = "order ended"
    SIGN_CHANGES = "sign changes"
    SITE_CHANGES = "site changes"
    LINE_NARROWS = "line narrows"
    SIGN_DRIFTS = "sign drifts"
    ARM_MOVES = "arm moves"
    VEIN_PRESSURE_CHANGES = "vein pressure changes"
    VALVE_STICKS = "valve sticks"
    POWER_FAILS = "power fails"
    POWER_RETURNS = "power returns"
    SET_SLIPS = "set slips"
    CUE = "cue"


class Driver(StrEnum):
    """What of a substance a sign answers to."""

    LEVEL = "level"  # concentration in the body
    EFFECT_SITE = "effect site"  # concentration where it acts, behind the body's by a lag
    RATE = "rate"  # how fast it reaches the vein


class Curve(StrEnum):
    """How a sign's change depends on what drives it."""

    LINEAR = "linear"  # change = most x level
    SATURATING = "saturating"  # change = most x level^n / (half_at^n + level^n)
    EXPONENTIAL = "exponential"  # sign is multiplied by e^(most x level)


class Refusal(StrEnum):
    """Why an act was impossible just now."""

    NOT_UNDERSTOOD = "not understood"  # a value is missing, unreadable or names nothing
    ALREADY_DONE = "already done"
    NOTHING_THERE = "nothing there"
    IN_USE = "in use"
    NOT_SPIKED = "not spiked"
    NOT_PRIMED = "not primed"
    NOT_LOADED = "not loaded"
    NOT_CONNECTED = "not connected"
    NOT_PROGRAMMED = "not programmed"
    CLAMP_CLOSED = "clamp closed"
    RUNNING = "running"
    NOT_RUNNING = "not running"
    CAUSE_REMAINS = "cause remains"
    OUT_OF_RANGE = "out of range"
    NO_ALARM = "no alarm"
    NO_POWER = "no power"
    OUTSIDE_LIMIT = "outside limit"  # a hard limit: cannot be entered
    NEEDS_REASON = "needs a reason"  # a soft limit: enter again with a reason
    ENDED = "ended"


class Domain(StrEnum):
    """The parts of the work that are marked apart."""

    CALCULATING = "calculating"
    ENTERING = "entering"
    VERIFYING = "verifying"
    SETTING_UP = "setting up the line"
    WATCHING = "watching and alarms"
    COMMUNICATING = "communicating and charting"


DOMAINS: dict[Domain, tuple[Verb, ...]] = {
    Domain.CALCULATING: (Verb.CALCULATE,),
    Domain.ENTERING: (Verb.ENTER,),
    Domain.VERIFYING: (
        Verb.IDENTIFY_PATIENT, Verb.CHECK_ALLERGIES, Verb.VERIFY_ORDER, Verb.INSPECT,
        Verb.SECOND_CHECK,
    ),
    Domain.WATCHING: (
        Verb.STOP, Verb.PAUSE_SOUND, Verb.RESET_ALARM, Verb.LOOK_AT_SITE, Verb.LOOK_AT_PATIENT,
        Verb.LOOK_AT_CONTAINER, Verb.FOLLOW_LINE, Verb.STRAIGHTEN, Verb.REPOSITION,
        Verb.RELEASE_PRESSURE, Verb.CLEAR_AIR, Verb.WAIT, Verb.COUNT_DROPS, Verb.MEASURE,
        Verb.REMOVE_CATHETER, Verb.RESITE, Verb.PLUG_IN,
    ),
    Domain.COMMUNICATING: (
        Verb.QUESTION_ORDER, Verb.NOTIFY, Verb.READ_BACK, Verb.CHART, Verb.TEACH,
    ),
}  # fmt: skip
"""The part of the work that an act belongs to; every other act sets up the line."""


def domain_of_act(verb: Verb) -> Domain:
    """The part of the work that an act belongs to, unless a step says otherwise."""
    fitting = (domain for domain, acts in DOMAINS.items() if verb in acts)
    return next(fitting, Domain.SETTING_UP)


class Verdict(StrEnum):
    """What a finding says."""

    RIGHT = "right"
    ROUNDED_EARLY = "rounded early"
    WRONG = "wrong"
    LATE = "late"
    OUT_OF_ORDER = "out of order"
    MISSED = "missed"
    NEVER_DONE = "should never be done"
    CORRECTED = "corrected before it reached the patient"
    NOT_NEEDED = "not needed"  # its event never came up


class CueKind(StrEnum):
    """What a cue does: it mends a gap in how real things look, or it leads to the objective."""

    REALITY = "reality"
    CONCEPTUAL = "conceptual"


class Credit(StrEnum):
    """How far a learner did something alone."""

    UNAIDED = "unaided"
    AFTER_REALITY_CUE = "after a reality cue"
    AFTER_CONCEPTUAL_CUE = "after a conceptual cue"
    SELF_CORRECTED = "self-corrected"
    NOT_DONE = "not done"
    NOT_SEEN = "not seen"  # there was no occasion for it, or nothing could show it


class Purpose(StrEnum):
    """What an attempt is for; it decides which bars its marks are held against."""

    EXPLORE = "explore"
    FORMATIVE = "formative"
    SUMMATIVE = "summative"


class Reach(StrEnum):
    """How far an error came, graded as national medication error indexes do."""

    NONE = "no error"
    CAUGHT = "caught before the patient"
    NO_HARM = "reached the patient, no harm"
    WATCH = "reached the patient, who must be watched"
    HARM = "harm"


class Stage(StrEnum):
    """The stages of one value from the order to the vein."""

    ORDERED = "ordered"
    CALCULATED = "calculated"
    KEYED = "keyed"
    DELIVERED = "delivered"


class CaughtBy(StrEnum):
    """Who or what caught an error."""

    NOBODY = "nobody"
    LEARNER = "the learner"
    LIMIT = "a limit at entry"
    SECOND_CHECK = "the second check"
    ALARM = "an alarm"
    PRESCRIBER = "the prescriber"


class Outcome(StrEnum):
    """How marks stand against a bar."""

    PASSED = "passed"
    NOT_PASSED = "not passed"
    NOT_ENOUGH_EVIDENCE = "not enough evidence"
    NO_BAR = "no bar set"
