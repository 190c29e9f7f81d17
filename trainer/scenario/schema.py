"""The shape of the three kinds of file, one class for each section.

Here: which keys exist, which must be there, and what kind of value each takes; the text
beside each key is what the format reference prints. Not here: whether names lead
anywhere (`check`). pydantic classes live only here; `build` turns them into the frozen
values of `model`. For `trainer.scenario` alone.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr

from trainer.scenario import kinds as k
from trainer.scenario.places import Path


class Section(BaseModel):
    """A group of keys. Once read it knows where in the file it stands."""

    model_config = ConfigDict(strict=True, extra="forbid")
    _place: Path = PrivateAttr(default=())

    @property
    def place(self) -> Path:
        """The path of this section in its document."""
        return self._place

    def stand(self, place: Path) -> None:
        """Remember the path of this section."""
        self._place = place


# --- what an act carries -------------------------------------------------------------


class ActKeys(Section):
    """The keys that go with an act. Which act takes which is a table of its own."""

    line: k.LineNumber | None = Field(default=None, description="the line")
    role: k.RoleWord | None = Field(default=None, description="which of a line's two inlets")
    clamp: k.ClampWord | None = Field(default=None, description="the clamp")
    supply: k.Id | None = Field(default=None, description="a container on the trolley")
    order: k.Id | None = Field(default=None, description="an order")
    access: k.Id | None = Field(default=None, description="a catheter")
    at: k.ConnectAt | None = Field(default=None, description="at the line's port or at the access")
    what: k.Text | None = Field(default=None, description="what is calculated, charted or taught")
    entered: k.Typed | None = Field(default=None, description="a value worked out, with its unit")
    sure: k.Sureness | None = Field(default=None, description="how certain the learner is")
    volume: k.Typed | None = Field(default=None, description="volume as typed")
    duration: k.Typed | None = Field(default=None, description="duration as typed")
    rate: k.Typed | None = Field(default=None, description="rate as typed")
    seconds: k.Typed | None = Field(default=None, description="for how many seconds")
    how: k.Text | None = Field(default=None, description="in which way")
    who: k.Person | None = Field(default=None, description="who is told")
    text: k.Text | None = Field(default=None, description="free words")
    length: k.Typed | None = Field(default=None, description="how long to wait")

    def params(self) -> tuple[tuple[str, str], ...]:
        """The keys that were written, sorted by name, values as text."""
        written = self.model_fields_set & ACT_KEYS
        return tuple((name, str(getattr(self, name))) for name in sorted(written))


ACT_KEYS = frozenset(ActKeys.model_fields)
"""Every key that goes with some act."""


# --- the patient and what stands at the bedside ---------------------------------------


class Access(Section):
    """`access`: a catheter in a vein."""

    id: k.Id = Field(description="its id")
    name: k.Text = Field(description="as said on the ward: left hand")
    kind: k.AccessKind = Field(default="peripheral", description="where its tip lies")
    gauge: k.Whole | None = Field(default=None, description="its gauge")
    site: k.SiteWord = Field(
        default="patent", validate_default=True, description="its state at the start"
    )


class Patient(Section):
    """`patient`: who lies here. Always invented."""

    name: k.Text = Field(description="an invented name")
    age: k.Age = Field(description="age")
    born: k.Text = Field(description="date of birth as on the wristband")
    record_number: k.Text = Field(description="the second identifier")
    weight: k.Weight = Field(description="the weight that calculations use")
    allergies: list[k.Text] = Field(
        default=[], description="one text each; an empty list says none"
    )
    access: list[Access] = Field(description="the catheters")
    signs: dict[str, k.SignValue] = Field(
        default={}, description="vital signs: `heart rate: 112 /min`"
    )
    story: k.Text = Field(
        default="", description="what the learner is told", validate_default=False
    )


class Supply(Section):
    """`supplies`: a container on the trolley. Some may be wrong on purpose."""

    id: k.Id = Field(description="its id")
    kind: k.SupplyKind = Field(description="what it is")
    fluid: k.Id = Field(description="what is in it, an id of the formulary")
    volume: k.Volume = Field(description="how much is in it")
    label: k.Text = Field(description="the text on it")
    fit: k.Truth = Field(default=True, description="`false`: a look shows why it must not be used")
    looks: k.Text = Field(default="", description="what a look shows; needed when it is not fit")


class Tubing(Section):
    """`tubing`: the volumes of a line's parts."""

    chamber: k.Volume = Field(description="a filled drip chamber")
    above: k.Volume = Field(description="from the chamber to the pump")
    below: k.Volume = Field(description="from the pump to the vein, catheter included")
    drop_factor: k.DropFactor = Field(description="drops in a millilitre")
    port: k.Volume | None = Field(
        default=None,
        description="from the access port to the pump, a part of `above`; without it, no port",
    )
    secondary: k.Volume | None = Field(
        default=None, description="a secondary's own tubing; with `port`"
    )
    secondary_chamber: k.Volume | None = Field(
        default=None, description="its drip chamber; with `port`"
    )


class Hung(Section):
    """`hung`: what already hangs, spiked, primed, loaded and connected."""

    supply: k.Id = Field(description="the container")
    left: k.Volume | None = Field(
        default=None, description="what is left in it; full without this key"
    )
    rate: k.Rate | None = Field(default=None, description="it already runs at this rate")
    volume: k.Volume | None = Field(
        default=None, description="volume still to be infused; with `rate`"
    )


class Line(Section):
    """`lines`: a line as the learner finds it. Without `hung` it is empty and dry."""

    number: k.LineNumber = Field(description="1, 2 ...")
    access: k.Id = Field(description="the catheter it belongs to")
    tubing: Tubing = Field(description="volumes of its parts")
    hung: Hung | None = Field(default=None, description="what already runs")


# --- orders ---------------------------------------------------------------------------


class Order(Section):
    """`orders`: what the prescriber wants. The right values are computed from it."""

    id: k.Id = Field(description="its id")
    title: k.Text = Field(description="a short name")
    written: k.Text = Field(description="the order as it stands on the chart")
    by: k.Text = Field(description="who wrote it")
    kind: k.OrderKind = Field(description="how it is given")
    fluid: k.Id = Field(description="what is given, an id of the formulary")
    line: k.LineNumber = Field(description="by which line")
    role: k.RoleWord = Field(default="primary", validate_default=True, description="by which inlet")
    supply: k.Id = Field(description="the container that is right for it")
    rule: k.RuleWord | None = Field(
        default=None, description="how much: a maintenance rule by weight, or"
    )
    dose: k.Dose | None = Field(default=None, description="how much: a dose, or")
    rate: k.Rate | None = Field(default=None, description="how much: a plain rate")
    over: k.Duration | None = Field(default=None, description="the ordered duration")
    least: k.Duration | None = Field(default=None, description="the ordered least duration")
    weight: k.Weight | None = Field(
        default=None, description="the weight written on the order, if any"
    )
    active: k.Truth = Field(default=True, description="`false`: it comes with an event")
    supersedes: k.Id | None = Field(default=None, description="the order that it replaces")
    ask: list[k.Asked] = Field(default=[], description="what the learner works out")


# --- what is expected, and events -----------------------------------------------------


class Step(ActKeys):
    """`expect`: one expected act. Keys of the act that are left out may be anything."""

    do: k.Act = Field(description="the act")
    id: k.StepName | None = Field(
        default=None, description="its id; without it, the act with hyphens"
    )
    after: k.StepNames = Field(default=[], description="steps of this plan that must come first")
    within: k.Duration | None = Field(
        default=None, description="counted from the beginning of the plan"
    )
    critical: k.Truth = Field(default=False, description="missing it fails the attempt")
    domain: k.DomainWord | None = Field(
        default=None, description="part of the work; by the act if absent"
    )
    because: k.Text | None = Field(default=None, description="the reason that the debrief gives")


class Never(ActKeys):
    """`never`: an act that must not be done while the plan is open."""

    do: k.Act = Field(description="the act")
    before: k.StepName | None = Field(
        default=None, description="wrong only until that step is done"
    )
    critical: k.Truth = Field(default=True, description="doing it fails the attempt")
    because: k.Text | None = Field(default=None, description="the reason that the debrief gives")


class When(ActKeys):
    """`when`: what brings an event. One of the first six keys."""

    time: k.Duration | None = Field(default=None, description="so long after the beginning")
    given: k.Volume | None = Field(
        default=None, description="so much infused by `line` (and `role`)"
    )
    after: k.Act | None = Field(
        default=None, description="this act was done, with these keys of it"
    )
    alarm: k.AlarmWord | None = Field(default=None, description="that alarm was raised")
    event: k.Id | None = Field(default=None, description="that event came")
    by_hand: k.Truth | None = Field(
        default=None, description="`true`: only when the instructor says so"
    )
    delay: k.AnyDuration | None = Field(
        default=None, description="so much later; with `after`, `alarm`, `event`"
    )


class Effect(Section):
    """`effects`: one thing that an event does. Which keys go with which is a table below."""

    happens: k.HappeningWord = Field(description="what happens")
    line: k.LineNumber | None = Field(default=None, description="the line")
    where: k.WhereWord | None = Field(default=None, description="which side of the pump")
    reason: k.Text | None = Field(default=None, description="what following the line shows")
    mend: k.MendWord | None = Field(default=None, description="the act that frees the line")
    volume: k.Volume | None = Field(default=None, description="how much air")
    who: k.Text | None = Field(default=None, description="who calls or comes")
    text: k.Text | None = Field(default=None, description="what is said")
    order: k.Id | None = Field(default=None, description="the order")
    sign: k.Text | None = Field(default=None, description="the vital sign")
    value: k.Text | None = Field(default=None, description="its new value, without unit")
    access: k.Id | None = Field(default=None, description="the catheter")
    site: k.SiteWord | None = Field(default=None, description="the site's new state")


class Event(Section):
    """`events`: something that comes up, and the response it calls for."""

    id: k.Id = Field(description="its id")
    title: k.Text = Field(description="a short name")
    when: When = Field(description="what brings it")
    effects: list[Effect] = Field(description="what it does")
    expect: list[Step] = Field(default=[], description="the expected response")
    never: list[Never] = Field(default=[], description="what must not be done")


# --- conduct --------------------------------------------------------------------------


class Until(Section):
    """`until`: what a scripted learner waits for. One of these."""

    alarm: k.AlarmWord | None = Field(default=None, description="an alarm")
    event: k.Id | None = Field(default=None, description="an event of this scenario")
    given: k.Volume | None = Field(default=None, description="so much infused by `line`")
    line: k.LineNumber | None = Field(default=None, description="the line; with `given`")


class ConductStep(ActKeys):
    """A step of a conduct: an act, or waiting."""

    do: k.Act | None = Field(default=None, description="the act, or")
    until: Until | None = Field(default=None, description="wait for this")
    pause: k.AnyDuration | None = Field(
        default=None, description="time before the act (5 s without it), or the whole wait"
    )
    id: k.StepName | None = Field(
        default=None, description="its id; without it, the act with hyphens, the next one with `-2`"
    )


class Change(Section):
    """`change`: steps put in the place of one step of the conduct that this is like."""

    step: k.StepName = Field(description="the step that is replaced")
    to: list[ConductStep] = Field(description="what is done instead")


class Conduct(Section):
    """`conduct`: a scripted learner. The first is the model, the others are mistakes."""

    id: k.Id = Field(description="its id")
    title: k.Text = Field(description="what is done right or wrong")
    steps: list[ConductStep] = Field(default=[], description="everything that is done, or")
    like: k.Id | None = Field(
        default=None, description="an earlier conduct, of which this differs in"
    )
    leave_out: k.StepNames = Field(default=[], description="steps not done")
    change: list[Change] = Field(default=[], description="steps done otherwise")
    ends_after: k.StepName | None = Field(default=None, description="the last step done")
    shows: list[k.Text] = Field(
        default=[],
        description="findings that must not be right: `plan.step`, as the debrief names them",
    )


class Range(Section):
    """`vary`: a value that differs from seed to seed."""

    least: k.Weight = Field(alias="from", description="the lower end")
    most: k.Weight = Field(alias="to", description="the upper end")
    step: k.WeightStep = Field(description="in steps of this")


class ScenarioFile(Section):
    """A scenario file."""

    format: k.Version = Field(description="version of this format")
    kind: k.FileKind = Field(default="scenario", description="which of the three kinds of file")
    id: k.Id = Field(description="its id")
    title: k.Text = Field(description="its title")
    summary: k.Text = Field(description="one or two sentences for the list of scenarios")
    takes: k.Duration = Field(
        description="about how long it takes at the bedside, in whole minutes"
    )
    starts_at: k.Clock = Field(description="the ward clock at the beginning")
    ends: k.Duration = Field(description="after this long time is up")
    objectives: list[k.Text] = Field(description="what a learner can do afterwards")
    real: list[k.Text] = Field(default=[], description="prebrief: what is as on a ward")
    unreal: list[k.Text] = Field(default=[], description="prebrief: what is not")
    cautions: list[k.Text] = Field(default=[], description="prebrief: what to be careful about")
    policy: k.Id = Field(description="the ward's rules: a file in `policies/`")
    formulary: k.Id = Field(description="the ward's fluids and drugs: a file in `formularies/`")
    patient: Patient = Field(description="who lies here")
    supplies: list[Supply] = Field(description="what stands on the trolley")
    lines: list[Line] = Field(description="the lines")
    orders: list[Order] = Field(description="what is ordered")
    expect: list[Step] = Field(
        default=[], description="acts expected from the start, outside any event"
    )
    never: list[Never] = Field(default=[], description="what must not be done, outside any event")
    events: list[Event] = Field(default=[], description="what comes up")
    vary: dict[k.Variable, Range] = Field(default={}, description="values that differ by seed")
    conduct: list[Conduct] = Field(default=[], description="scripted learners, the model first")


# --- policy and formulary -------------------------------------------------------------


class RoundingRow(Section):
    """`rounding`: how one kind of answer is rounded. The first that fits is used."""

    of: k.Rounded = Field(description="what is rounded")
    to: k.LimitEnd | None = Field(default=None, description="to a multiple of this, or")
    digits: k.Whole | None = Field(default=None, description="to so many significant digits")
    below: k.LimitEnd | None = Field(default=None, description="only values smaller than this")
    manner: k.MannerWord = Field(default="half up", validate_default=True, description="how")


class Pump(Section):
    """`pump`: how the ward's pumps are set up."""

    rate_step: k.Rate = Field(description="finest rate that can be entered")
    volume_step: k.Volume = Field(description="finest volume that can be entered")
    lowest_rate: k.Rate = Field(description="lowest rate")
    highest_rate: k.Rate = Field(description="highest rate")
    highest_volume: k.Volume = Field(description="largest volume to be infused")
    keep_open_rate: k.Rate = Field(description="KVO rate; the lower of this and the set rate runs")
    at_end: k.EndWord = Field(description="what follows when the volume is complete")
    near_end: k.AnyDuration = Field(description="warn so long before it is; `0 min`: never")
    resting_pressure: k.Pressure = Field(description="pressure in an open line")
    pressure_alarm: k.Pressure = Field(description="downstream occlusion alarm above this")
    suction_alarm: k.Pressure = Field(description="upstream occlusion alarm so far below resting")
    compliance_below: k.Compliance = Field(description="give of the tubing from pump to vein")
    compliance_above: k.Compliance = Field(description="give of the tubing from container to pump")
    air_alarm: k.Volume = Field(description="smallest single bubble that alarms")
    drop_sensor: k.Truth = Field(description="`true`: an empty container alarms before air comes")
    sound_pause: k.Duration = Field(description="how long sound can be paused; at most 2 min")
    reminder: k.AnyDuration = Field(description="values entered, not started; `0 min`: never")


class PolicyFile(Section):
    """A policy file: a ward's rules."""

    format: k.Version = Field(description="version of this format")
    kind: k.FileKind = Field(description="`policy`")
    id: k.Id = Field(description="its id, by which scenarios name it")
    title: k.Text = Field(description="its title")
    rounding: list[RoundingRow] = Field(description="how answers are rounded")
    rounding_caution: k.Percent = Field(
        default="10 %",
        validate_default=True,
        description="caution when rounding moves a value by more",
    )
    hours_at_once: k.Hours = Field(
        description="most hours of volume programmed at once for a child"
    )
    child_below: k.Age = Field(description="who is a child for that rule")
    hub_scrub: k.Seconds = Field(description="how long a hub is scrubbed at least")
    look_at_site_every: k.Duration = Field(description="a running site is looked at this often")
    pump: Pump = Field(description="how the pumps are set up")
    priorities: dict[k.AlarmWord, k.PriorityWord] = Field(description="of each alarm condition")
    second_check: list[k.Id] = Field(
        default=[], description="fluids or drugs that want a double check"
    )
    lb_per_kg: k.LbPerKg = Field(description="pounds in a kilogram")


class Fluid(Section):
    """`fluids`: what can be in a container."""

    id: k.Id = Field(description="its id")
    name: k.Text = Field(description="as on the label")
    drug: k.Id | None = Field(default=None, description="the drug made up in it")
    strength: k.Strength | None = Field(
        default=None, description="how much drug is in it; with `drug`"
    )


class Limit(Section):
    """`limits`: a range for one dose of a drug, either end open."""

    of: k.LimitOf = Field(description="what is limited")
    least: k.LimitEnd | None = Field(default=None, description="the lower end")
    most: k.LimitEnd | None = Field(default=None, description="the upper end")
    hard: k.Truth = Field(default=False, description="`true`: never to be passed")
    because: k.Text = Field(
        description="the reason, with its source or `common practice, no source`"
    )


class Drug(Section):
    """`drugs`: a formulary entry."""

    id: k.Id = Field(description="its id")
    name: k.Text = Field(description="look-alikes in tall-man letters")
    limits: list[Limit] = Field(default=[], description="ranges for one dose")
    least_duration: k.Duration | None = Field(
        default=None, description="one dose runs no faster than this"
    )
    half_life: k.Duration | None = Field(
        default=None, description="without it no level is computed"
    )
    distribution: k.LitresPerKg | None = Field(default=None, description="volume of distribution")
    cautions: list[k.Text] = Field(default=[], description="what to be careful about")
    source: k.Text = Field(description="where this is from, or `common practice, no source`")


class FormularyFile(Section):
    """A formulary file: a ward's fluids and drugs."""

    format: k.Version = Field(description="version of this format")
    kind: k.FileKind = Field(description="`formulary`")
    id: k.Id = Field(description="its id, by which scenarios name it")
    title: k.Text = Field(description="its title")
    fluids: list[Fluid] = Field(description="what can be in a container")
    drugs: list[Drug] = Field(default=[], description="what is in fluids with a drug")
