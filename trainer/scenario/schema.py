"""The shape of a scenario file, one class for each section.

Here: which keys exist, which must be there, and what kind of value each takes; the text
beside each key is what the format reference prints. Not here: the ward's two files
(`schema_ward`), and whether names lead anywhere (`check`). pydantic classes live only in
these modules; `build` turns them into the frozen values of `model`. For
`trainer.scenario` alone.
"""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from trainer.scenario import kinds as k
from trainer.scenario.schema_ward import Response
from trainer.scenario.section import Section

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
    height: k.Typed | None = Field(default=None, description="height above the site, as typed")
    opening: k.Typed | None = Field(default=None, description="of a roller clamp, as typed")
    fluid: k.Id | None = Field(default=None, description="what the pump is told that it runs")
    reason: k.Text | None = Field(default=None, description="why a soft limit is passed")

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
    grade: k.Whole | None = Field(
        default=None, description="1 to 4, of an infiltration or a phlebitis"
    )
    height: k.Height = Field(
        default="0 cm",
        validate_default=True,
        description="of the site above the level that heights count from",
    )


class Sign(Section):
    """`signs`: one vital sign. A plain value stands for its `value`."""

    plain_key: ClassVar[str] = "value"

    value: k.SignValue = Field(description="as charted")
    measured: k.Truth = Field(
        default=False, description="`true`: seen by `measure` only, not by looking at the patient"
    )
    takes: k.AnyDuration | None = Field(
        default=None, description="how long the result takes; with `measured`"
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
    signs: dict[str, Sign] = Field(default={}, description="vital signs: `heart rate: 112 /min`")
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
    overfill: k.Volume | None = Field(
        default=None, description="what is in it beyond the label's volume"
    )
    size: k.Volume | None = Field(
        default=None, description="of a syringe; its `volume` without this key"
    )


class Tubing(Section):
    """`tubing`: the volumes of a line's parts."""

    chamber: k.Volume | None = Field(
        default=None, description="a filled drip chamber; every line but a syringe's has one"
    )
    above: k.Volume | None = Field(
        default=None, description="from the chamber to the pump; every line but a syringe's"
    )
    below: k.Volume = Field(description="from the pump to the vein, catheter included")
    drop_factor: k.DropFactor | None = Field(
        default=None, description="drops in a millilitre; every line but a syringe's"
    )
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
    drive: k.DriveWord = Field(
        default="pump", validate_default=True, description="what moves its fluid"
    )
    tubing: Tubing = Field(description="volumes of its parts")
    opening: k.Opening | None = Field(
        default=None, description="of its roller clamp; quite open without this key"
    )
    valve: k.ValveWord = Field(
        default="works",
        validate_default=True,
        description="the check valve above the port; `stuck` lets fluid run back",
    )
    battery: k.AnyDuration | None = Field(
        default=None, description="how long its pump's battery lasts; full without this key"
    )
    plugged_in: k.Truth = Field(default=True, description="`false`: its pump is on its battery")
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
    serves: k.Ids = Field(default=[], description="the objectives that it shows, by id")


# --- what is expected, and events -----------------------------------------------------


class Objective(Section):
    """`objectives`: what a learner can do afterwards. Plain words stand for its `text`."""

    plain_key: ClassVar[str] = "text"

    text: k.Text = Field(description="the objective in words")
    id: k.Id | None = Field(default=None, description="its id, by which steps and orders serve it")


class Cue(Section):
    """`cues` of a step: words that help with it, from the least help to the most."""

    kind: k.CueWord = Field(
        description="`reality` says what real things would show; `conceptual` leads to the act"
    )
    text: k.Text = Field(description="what the learner is told, without the right numbers")


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
    serves: k.Ids = Field(default=[], description="the objectives that it shows, by id")
    cues: list[Cue] = Field(
        default=[], description="given one by one on request; without them, two made ready"
    )


class Never(ActKeys):
    """`never`: an act that must not be done while the plan is open."""

    do: k.Act = Field(description="the act")
    before: k.StepName | None = Field(
        default=None, description="wrong only until that step is done"
    )
    critical: k.Truth = Field(default=True, description="doing it fails the attempt")
    because: k.Text | None = Field(default=None, description="the reason that the debrief gives")


class When(ActKeys):
    """`when`: what brings an event. One of the first seven keys."""

    time: k.Duration | None = Field(default=None, description="so long after the beginning")
    given: k.Volume | None = Field(
        default=None, description="so much infused by `line` (and `role`)"
    )
    after: k.Act | None = Field(
        default=None, description="this act was done, with these keys of it"
    )
    alarm: k.AlarmWord | None = Field(default=None, description="that alarm was raised")
    event: k.Id | None = Field(default=None, description="that event came")
    sign: k.Text | None = Field(
        default=None, description="that sign, as it truly is, passes `above` or `below`"
    )
    by_hand: k.Truth | None = Field(
        default=None, description="`true`: only when the instructor says so"
    )
    above: k.Threshold | None = Field(default=None, description="rises above it; with `sign`")
    below: k.Threshold | None = Field(default=None, description="falls below it; with `sign`")
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
    grade: k.Whole | None = Field(
        default=None, description="1 to 4, of an infiltration or a phlebitis"
    )
    resistance: k.Resistance | None = Field(default=None, description="what holds the fluid back")
    height: k.Height | None = Field(
        default=None, description="of the arm above the level that heights count from"
    )
    pressure: k.AnyPressure | None = Field(default=None, description="in the vein")
    half_time: k.Duration | None = Field(
        default=None, description="half of the way to `value` is gone in this time"
    )
    kind: k.CueWord | None = Field(default=None, description="of a cue")
    step: k.Text | None = Field(
        default=None, description="what a cue helps with: `plan.step`, as the debrief names it"
    )


class OwnResponse(Response):
    """`responses` of a scenario: how a sign of this patient answers."""

    to: k.Id = Field(description="a drug of the formulary, or `volume`")


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
    objectives: list[Objective] = Field(description="what a learner can do afterwards")
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
    responses: list[OwnResponse] = Field(
        default=[], description="how this patient's signs answer, beside the formulary"
    )
    vary: dict[k.Variable, Range] = Field(default={}, description="values that differ by seed")
    conduct: list[Conduct] = Field(default=[], description="scripted learners, the model first")
