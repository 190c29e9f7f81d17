"""A scenario as frozen values: what the author wrote, read, checked and made exact.

Here are only the shapes. Reading YAML into them is `scenario.build`; what the right
entries are is computed in `scoring`; what happens is computed in `engine`. Values that a
learner sees as the author wrote them are kept as text beside the exact value.

Volumes are mL, rates mL/h, weights kg, pressures mmHg, all `Fraction`; moments and
durations are whole milliseconds.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.quantity import Quantity
from trainer.clinical.rounding import RoundingRules
from trainer.terms import (
    AlarmKind,
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

# --- the ward's rules -------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SyringeSize:
    """What gives way in a syringe of one size in its pump.

    `compliance_ul_per_mmhg` is of the whole: barrel, plunger, mechanism and line, as measured.
    `slack_ml` is what a freshly loaded syringe's pump moves before any fluid comes; priming
    with the pump, after loading, takes it up.
    """

    size_ml: Fraction
    compliance_ul_per_mmhg: Fraction
    slack_ml: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Hydraulics:
    """What holds flow back and what gives way beside the pump. A ward's data.

    Resistances are mmHg per (mL/h), heights cm of fluid above the site (1 cm of water is
    0.73556 mmHg), pressures mmHg.
    """

    container_height_cm: Fraction = Fraction(90)
    hanger_drop_cm: Fraction = Fraction(25)  # how much lower a lowered primary hangs
    set_resistance: Fraction = Fraction("0.012")  # a primary set, its clamp fully open
    secondary_resistance: Fraction = Fraction("0.1")
    clamp_resistance: Fraction = Fraction("0.02")  # roller clamp at opening x: r (1/x^2 - 1)
    catheter_flow: tuple[tuple[int, Fraction], ...] = ()  # gauge, mL/min of water at 1 m head
    bottle_gas_ml: Fraction = Fraction(20)  # gas over the fluid of a closed, unvented bottle
    tissue_compliance_ml_per_mmhg: Fraction = Fraction(1)
    tissue_pressure_most_mmhg: Fraction = Fraction(30)
    grades_ml: tuple[Fraction, ...] = (Fraction(0), Fraction(5), Fraction(20), Fraction(50))
    """Volume in the tissue from which an infiltration has grade 1, 2, 3, 4."""
    syringes: tuple[SyringeSize, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpRules:
    """How the ward's pumps are set up. All of it is ward data, none of it a device's."""

    rate_step_ml_per_h: Fraction  # finest rate that can be entered
    volume_step_ml: Fraction
    lowest_rate_ml_per_h: Fraction
    highest_rate_ml_per_h: Fraction
    highest_volume_ml: Fraction
    keep_open_rate_ml_per_h: Fraction  # KVO rate; the lower of this and the set rate runs
    at_end: Running  # KEEPING_OPEN or COMPLETE
    near_end_ms: int  # warn this long before the volume is complete; 0 = never
    resting_pressure_mmhg: Fraction
    pressure_alarm_mmhg: Fraction  # downstream occlusion threshold
    suction_alarm_mmhg: Fraction  # upstream, how far below resting (a positive figure)
    compliance_below_ul_per_mmhg: Fraction  # pump to vein
    compliance_above_ul_per_mmhg: Fraction  # container to pump
    air_alarm_ml: Fraction  # single bubble
    drop_sensor: bool  # tells an empty container before air is drawn in
    sound_pause_ms: int  # at most two minutes
    reminder_ms: int  # values entered but not started; 0 = never
    air_window_ms: int = 900_000  # bubbles that pass within this time are added up
    air_window_ml: Fraction = Fraction(1)  # their sum alarms; 0 = never
    air_ignored_ml: Fraction = Fraction("0.05")  # smaller bubbles are not added
    battery_ms: int = 14_400_000  # a full battery runs so long
    battery_low_ms: int = 1_800_000  # low battery is told so long before the end
    battery_end_ms: int = 180_000  # battery depleted is told so long before the end
    closes_when_unloaded: bool = True  # a set taken out of its pump closes by itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The least share of points that suffices: in one domain, or in all (`domain` None)."""

    purpose: Purpose
    least: Fraction
    domain: Domain | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """How a school marks. Its own data; no bar is built in.

    `credit` is the share of a point by how far something was done alone; a level that is not
    named earns all of it. In a domain with fewer than `least_items` scored items that could
    show, there is not enough evidence. An error off by `watch_from` of the dose wants
    watching, one off by `harm_from` counts as harm.
    """

    credit: tuple[tuple[Credit, Fraction], ...] = ((Credit.AFTER_CONCEPTUAL_CUE, Fraction(1, 2)),)
    bars: tuple[Bar, ...] = ()
    least_items: int = 1
    watch_from: Fraction = Fraction(1, 10)
    harm_from: Fraction = Fraction(1, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A ward's rules, one file. Published rules conflict, so none is built in."""

    id: str
    title: str
    rounding: RoundingRules
    hours_at_once: Fraction  # most hours of volume programmed at once for a child
    child_below_years: Fraction  # who is a child for that rule
    hub_scrub_s: Fraction
    least_site_look_ms: int  # a running site is looked at this often
    pump: PumpRules
    priorities: tuple[tuple[AlarmKind, Priority], ...]
    second_check: tuple[str, ...]  # fluid or drug ids that want an independent double check
    lb_per_kg: Fraction
    hydraulics: Hydraulics = Hydraulics()
    drip_tolerance: Fraction = Fraction(1, 10)  # a drip rate set by hand may differ by this share
    marking: Marking = Marking()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A range for one dose of a drug, in one unit; either end may be open."""

    of: str  # "dose", "rate", "concentration", "daily dose"
    unit: str
    least: Fraction | None = None
    most: Fraction | None = None
    hard: bool = False
    because: str = ""
    route: str = ""  # "peripheral" or "central"; empty: both
    from_years: Fraction | None = None  # holds from this age ...
    below_years: Fraction | None = None  # ... to below this one


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """How one sign answers to a substance, by first-order lag and then a curve.

    The driver (see `terms.Driver`) is followed with the lag `lag_ms` (time constant, not
    half-life; 0 = at once); the lagged value x gives the change of the sign by `curve`.
    x is in the drug's unit per litre for a level or effect site, in the drug's unit per
    minute for a rate, and in mL per kg for the circulating volume. `most` is in the sign's
    unit (linear: per unit of x; exponential: per unit of x, no unit).
    """

    sign: str
    most: Fraction
    driver: Driver = Driver.LEVEL
    curve: Curve = Curve.LINEAR
    half_at: Fraction = Fraction(0)  # saturating: x that gives half of `most`
    steepness: int = 1  # saturating: the exponent n
    lag_ms: int = 0
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circulation:
    """What any fluid in the vein does by its volume: a crystalloid's teaching model.

    The circulating share of the volume given leaves it with `half_life_ms`; of what
    leaves, `urine_share` is passed as urine. Responses are driven by mL per kg circulating.
    """

    half_life_ms: int
    urine_share: Fraction
    responses: tuple[Response, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Incompatible:
    """Two fluids (or drugs, or one of each) that must not meet in a line or catheter."""

    first: str  # a fluid's or a drug's id
    second: str
    blocks: bool  # True: what falls out blocks the line downstream
    looks: str  # what is seen where they met
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """Something that can be in a container: a plain fluid, or a drug made up in one.

    `drug` is empty for a plain fluid. `concentration` is drug per mL.
    """

    id: str
    name: str  # as on the label, look-alikes in tall-man letters
    drug: str = ""
    concentration: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drug:
    """A formulary entry."""

    id: str
    name: str
    limits: tuple[Limit, ...] = ()
    least_duration_ms: int = 0  # an intermittent dose runs no faster than this
    half_life_ms: int = 0  # 0: no level is computed
    volume_l_per_kg: Fraction = Fraction(0)  # volume of distribution
    cautions: tuple[str, ...] = ()
    source: str = ""
    effect_site_half_ms: int = 0  # half-time of the effect site; 0 = none
    behaviour: str = ""  # name of the ready behaviour that it was given, if any
    responses: tuple[Response, ...] = ()
    vesicant: bool = False  # harms tissue: any infiltration has grade 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Formulary:
    """A ward's fluids and drugs, one file."""

    id: str
    title: str
    fluids: tuple[Fluid, ...]
    drugs: tuple[Drug, ...]
    circulation: Circulation | None = None
    incompatible: tuple[Incompatible, ...] = ()


# --- the patient and what stands at the bedside ------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """A catheter in a vein."""

    id: str
    name: str  # "left hand"
    kind: str  # "peripheral", "central"
    gauge: int | None = None
    site: Site = Site.PATENT
    grade: int = 0  # of an infiltration or phlebitis at the start
    height_cm: Fraction = Fraction(0)  # of the site above where the container's height counts from


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One vital sign as charted: "heart rate", "112", "/min"."""

    name: str
    value: str
    unit: str
    measured: bool = False  # True: known only by measuring it, not by looking at the patient
    takes_ms: int = 0  # how long the measurement's result takes


@dataclass(frozen=True, slots=True, kw_only=True)
class Patient:
    """Who lies here. Invented."""

    name: str
    age_text: str
    age_years: Fraction
    weight: Quantity
    record_number: str
    born: str
    allergies: tuple[str, ...]
    access: tuple[Access, ...]
    signs: tuple[Sign, ...]
    story: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """A container on the trolley. Some are decoys: wrong fluid, expired, leaking."""

    id: str
    kind: str  # "bag", "bottle", "syringe"
    fluid: str  # a fluid's id
    volume_ml: Fraction
    label: str  # the text on it, as printed
    fit: bool = True  # False: a look at it shows why it must not be used
    looks: str = ""  # what a look shows
    overfill_ml: Fraction = Fraction(0)  # more in it than the label says
    size_ml: Fraction | None = None  # a syringe's size; None = its volume


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSpec:
    """A line as the learner finds it. An empty one has no containers and dry tubing.

    Volumes: `chamber_ml` a filled drip chamber, `above_ml` chamber to pump, of which
    `port_ml` lies between the secondary's join and the pump, `below_ml` pump to vein
    (catheter included), `secondary_ml` the secondary's own tubing.
    """

    number: int
    access: str
    has_port: bool
    chamber_ml: Fraction
    above_ml: Fraction
    port_ml: Fraction
    below_ml: Fraction
    secondary_chamber_ml: Fraction
    secondary_ml: Fraction
    drop_factor: Fraction  # drops per mL
    hung: str = ""  # supply already hung, spiked, primed, loaded and connected
    hung_left_ml: Fraction | None = None  # what is left in it; None = full
    running_rate_ml_per_h: Fraction | None = None  # already running at this rate
    running_volume_ml: Fraction | None = None  # volume to be infused still programmed
    drive: Drive = Drive.PUMP
    opening: Fraction = Fraction(1)  # of the roller clamp at the start, a share
    valve_works: bool = True  # the primary's check valve above the join
    battery_ms: int | None = None  # what the pump's battery holds; None = full
    plugged_in: bool = True


# --- orders -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What the prescriber wants, as text and as quantities.

    Exactly one of `rule`, `dose`, `rate` says how much: a maintenance rule by weight, a
    dose (per kg, per time or both; volumes such as 20 mL/kg too), or a plain rate.
    `over_ms` is the ordered duration, `least_ms` the ordered least duration.
    """

    id: str
    title: str
    written: str  # the order as it stands on the chart
    by: str
    kind: str  # "continuous", "intermittent", "bolus"
    fluid: str
    role: Role
    line: int
    supply: str  # the container that is right for it
    rule: str = ""
    dose: Quantity | None = None
    rate: Quantity | None = None
    over_ms: int = 0
    least_ms: int = 0
    weight: Quantity | None = None  # weight written on the order, if it names one
    active: bool = True  # False: comes with an event
    supersedes: str = ""
    ask: tuple[str, ...] = ()  # which quantities the learner works out: "rate", "volume", ...
    serves: tuple[str, ...] = ()  # ids of objectives


# --- events and what is expected ---------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Trigger:
    """When an event of the scenario comes. Exactly one way is used.

    * `at_ms`: a moment.
    * `given_ml` with `line` (and `role`): so much infused from that line since the start.
    * `after`: a verb done (with `match` parameters), plus `delay_ms`.
    * `alarm`: that alarm condition raised, plus `delay_ms`.
    * `event`: another event having come, plus `delay_ms`.
    * `sign` with `above` or `below`: the patient's sign, as it truly is, crosses the number.
    * `by_hand`: only when the instructor says so.
    """

    at_ms: int | None = None
    given_ml: Fraction | None = None
    line: int | None = None
    role: Role | None = None
    after: Verb | None = None
    match: tuple[tuple[str, str], ...] = ()
    alarm: AlarmKind | None = None
    event: str = ""
    delay_ms: int = 0
    by_hand: bool = False
    sign: str = ""  # that sign rises above or falls below a number (see the two fields)
    above: Fraction | None = None
    below: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """One thing an event does."""

    happening: Happening
    line: int | None = None
    where: Where | None = None
    reason: str = ""  # line blocked: "kink at the wrist", seen on following the line
    mend: Verb | None = None  # the act that frees it: straighten, reposition, open clamp
    volume_ml: Fraction | None = None  # air; with `where`, upstream (default) or downstream
    who: str = ""  # call: from whom
    text: str = ""  # call: what is said
    order: str = ""
    sign: str = ""
    value: str = ""
    access: str = ""
    site: Site | None = None
    grade: int = 0  # of the infiltration or phlebitis
    resistance: Fraction | None = None  # line narrows: mmHg per (mL/h)
    height_cm: Fraction | None = None  # arm moves
    pressure_mmhg: Fraction | None = None  # vein pressure changes
    half_ms: int = 0  # sign drifts: half-time of the approach to `value`
    role: Role | None = None
    cue: CueKind | None = None  # cue: its kind, with `text`
    step: str = ""  # cue: the step it helps with, as findings name it (`start.scrub-hub`)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """Which acts answer a step: a verb, and the parameters that must agree.

    A parameter not named here may be anything. The value `key` means: as the computed
    key says (scoring judges values; the pattern then matches any value).
    """

    verb: Verb
    params: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """Words that help with a step, should the learner need them."""

    kind: CueKind
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One expected act.

    `after` names steps of the same plan that must come first. `within_ms` counts from the
    plan's beginning (the event's moment, or the attempt's start). `because` is the reason
    that the debrief gives.
    """

    id: str
    pattern: Pattern
    domain: Domain
    after: tuple[str, ...] = ()
    within_ms: int | None = None
    critical: bool = False
    because: str = ""
    serves: tuple[str, ...] = ()  # ids of objectives
    cues: tuple[Cue, ...] = ()  # from the least help to the most


@dataclass(frozen=True, slots=True, kw_only=True)
class Never:
    """An act that must not be done while the plan is open.

    With `before`, it is wrong only as long as that step is not done.
    """

    pattern: Pattern
    before: str = ""
    because: str = ""
    critical: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Expected steps in the order that matters, and what must not be done."""

    steps: tuple[Step, ...] = ()
    nevers: tuple[Never, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AuthoredEvent:
    """An event the author put into the scenario, with the response it calls for."""

    id: str
    title: str
    when: Trigger
    effects: tuple[Effect, ...]
    plan: Plan = Plan()


# --- conduct: a scripted learner ---------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductStep:
    """One thing a scripted learner does or waits for.

    Either `verb` with `params` (values `key:ORDER.QUANTITY` stand for the computed key,
    such as `key:maintenance.rate`), done `pause_ms` after the previous one; or a wait:
    `until_alarm`, `until_event`, `until_given_ml` on `line`, or only `pause_ms`.
    """

    verb: Verb | None = None
    params: tuple[tuple[str, str], ...] = ()
    pause_ms: int = 5_000
    until_alarm: AlarmKind | None = None
    until_event: str = ""
    until_given_ml: Fraction | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Conduct:
    """A whole scripted run: the model conduct, or a named mistake.

    `shows` names the findings (`plan.step`) that must not be right after this run.
    """

    id: str
    title: str
    steps: tuple[ConductStep, ...]
    shows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Vary:
    """A value that differs from seed to seed: the weight, in steps between two ends."""

    what: str  # "patient.weight"
    least: Quantity
    most: Quantity
    step: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """One scenario with its ward: all that an attempt needs, and nothing from outside."""

    format: int
    id: str
    title: str
    summary: str
    minutes: int  # how long it takes, about, at the bedside
    starts_at: str  # ward clock at the beginning, "08:50"
    objectives: tuple[str, ...]  # in words
    real: tuple[str, ...]  # prebrief: what is as on a ward
    unreal: tuple[str, ...]  # prebrief: what is not
    cautions: tuple[str, ...]
    policy: Policy
    formulary: Formulary
    patient: Patient
    supplies: tuple[Supply, ...]
    lines: tuple[LineSpec, ...]
    orders: tuple[Order, ...]
    plan: Plan  # expected from the start, outside any event
    events: tuple[AuthoredEvent, ...]
    ends_ms: int  # time is up
    vary: tuple[Vary, ...] = ()
    conducts: tuple[Conduct, ...] = ()  # the first is the model conduct
    responses: tuple[tuple[str, Response], ...] = ()
    """The author's own responses: a drug's id or `volume`, and how a sign answers to it."""
    objective_ids: tuple[str, ...] = ()
    """The ids of `objectives`, in the same order; an empty text where one has no id."""

    def fluid(self, fluid_id: str) -> Fluid:
        """The fluid of that id (checked when the scenario was built)."""
        return next(fluid for fluid in self.formulary.fluids if fluid.id == fluid_id)

    def drug(self, drug_id: str) -> Drug:
        """The drug of that id (checked when the scenario was built)."""
        return next(drug for drug in self.formulary.drugs if drug.id == drug_id)

    def supply(self, supply_id: str) -> Supply:
        """The supply of that id (checked when the scenario was built)."""
        return next(supply for supply in self.supplies if supply.id == supply_id)

    def order(self, order_id: str) -> Order:
        """The order of that id (checked when the scenario was built)."""
        return next(order for order in self.orders if order.id == order_id)

    def line(self, number: int) -> LineSpec:
        """The line of that number (checked when the scenario was built)."""
        return next(line for line in self.lines if line.number == number)

    def event(self, event_id: str) -> AuthoredEvent:
        """The authored event of that id (checked when the scenario was built)."""
        return next(event for event in self.events if event.id == event_id)

    @property
    def is_child(self) -> bool:
        """Whether the ward's rules for children hold for this patient."""
        return self.patient.age_years < self.policy.child_below_years
