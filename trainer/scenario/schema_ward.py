"""The shape of a ward's two files: the policy, and the formulary.

See `schema` for how to read these classes. For `trainer.scenario` alone.
"""

from __future__ import annotations

from pydantic import Field

from trainer.scenario import kinds as k
from trainer.scenario.section import Section

# --- policy ---------------------------------------------------------------------------


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
    air_window: k.Duration = Field(
        default="15 min",
        validate_default=True,
        description="bubbles that pass within this time are added up",
    )
    air_window_volume: k.AnyVolume = Field(
        default="1 mL", validate_default=True, description="their sum alarms; `0 mL`: never"
    )
    air_ignored: k.AnyVolume = Field(
        default="0.05 mL", validate_default=True, description="smaller bubbles are not added up"
    )
    battery: k.Duration = Field(
        default="4 h", validate_default=True, description="a full battery runs so long"
    )
    battery_low: k.AnyDuration = Field(
        default="30 min",
        validate_default=True,
        description="low battery is told so long before its end",
    )
    battery_end: k.AnyDuration = Field(
        default="3 min",
        validate_default=True,
        description="battery depleted is told so long before its end",
    )
    closes_when_unloaded: k.Truth = Field(
        default=True, description="`false`: a set taken out of its pump runs freely"
    )


class Catheter(Section):
    """`catheters`: how freely a catheter lets water through."""

    gauge: k.Whole = Field(description="its gauge")
    flow: k.Flow = Field(description="of water from 1 m of height")


class Syringe(Section):
    """`syringes`: what gives way in a syringe of one size in its pump."""

    size: k.Volume = Field(description="the syringe's size")
    compliance: k.Compliance = Field(description="give of its plunger and barrel")
    slack: k.AnyVolume = Field(description="moved by the pump before any fluid comes")


class Hydraulics(Section):
    """`hydraulics`: what holds fluid back and what gives way beside the pump."""

    container_height: k.HeightAbove = Field(
        default="90 cm", validate_default=True, description="a container hangs so high"
    )
    hanger_drop: k.HeightAbove = Field(
        default="25 cm", validate_default=True, description="a lowered primary hangs so much lower"
    )
    set_resistance: k.Resistance = Field(
        default="0.012 mmHg per mL/h",
        validate_default=True,
        description="of a primary set, its clamp quite open",
    )
    secondary_resistance: k.Resistance = Field(
        default="0.1 mmHg per mL/h", validate_default=True, description="of a secondary set"
    )
    clamp_resistance: k.Resistance = Field(
        default="0.02 mmHg per mL/h",
        validate_default=True,
        description="of the roller clamp, times (1/x2 - 1) at the opening x",
    )
    catheters: list[Catheter] = Field(
        default=[], description="by gauge; without them a catheter holds nothing back"
    )
    bottle_gas: k.Volume = Field(
        default="20 mL", validate_default=True, description="gas over the fluid of a closed bottle"
    )
    tissue_compliance: k.Give = Field(
        default="1 mL/mmHg", validate_default=True, description="give of the tissue beside a vein"
    )
    tissue_pressure_most: k.Pressure = Field(
        default="30 mmHg", validate_default=True, description="it rises no higher than this"
    )
    infiltration_grades: list[k.AnyVolume] = Field(
        default=["0 mL", "5 mL", "20 mL", "50 mL"],
        validate_default=True,
        description="volume in the tissue above which the grade is 1, 2, 3, 4",
    )
    syringes: list[Syringe] = Field(
        default=[], description="by size; without them a syringe does not give"
    )


class Marking(Section):
    """`marking`: how the school marks. No bar is built in."""

    credit: dict[k.CreditWord, k.Share] = Field(
        default={"after a conceptual cue": "50 %"},
        validate_default=True,
        description="share of the points by how far it was done alone; a level not named earns all",
    )
    bars: dict[k.PurposeWord, dict[k.BarredWord, k.Share]] = Field(
        default={}, description="by purpose: the least share of `all` points, or of a domain's"
    )
    least_items: k.Whole = Field(
        default=1, description="with fewer scored items there is not enough evidence"
    )
    watch_from: k.Percent = Field(
        default="10 %", validate_default=True, description="an error so large wants watching"
    )
    harm_from: k.Percent = Field(
        default="50 %", validate_default=True, description="an error so large counts as harm"
    )


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
    drip_tolerance: k.Percent = Field(
        default="10 %",
        validate_default=True,
        description="how far a drip rate set by hand may lie from the order",
    )
    hydraulics: Hydraulics = Field(
        default_factory=Hydraulics, description="what holds fluid back and what gives way"
    )
    marking: Marking = Field(default_factory=Marking, description="how the school marks")


# --- formulary ------------------------------------------------------------------------


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
    route: k.AccessKind | None = Field(
        default=None, description="only by such a catheter; any without this key"
    )
    from_age: k.Age | None = Field(default=None, description="only from this age")
    below_age: k.Age | None = Field(default=None, description="only below this age")
    because: k.Text = Field(
        description="the reason, with its source or `common practice, no source`"
    )


class Response(Section):
    """`responses`: how one sign answers to what reaches the vein."""

    sign: k.Text = Field(description="the sign, as scenarios call it")
    most: k.ResponseSize = Field(
        description="the largest change if saturating; else the change per unit of what drives it"
    )
    driver: k.DriverWord = Field(
        default="level", validate_default=True, description="what of the substance drives it"
    )
    curve: k.CurveWord = Field(
        default="linear", validate_default=True, description="how the change grows with it"
    )
    half_at: k.Driving | None = Field(
        default=None, description="here half of `most` is reached; with `saturating`"
    )
    steepness: k.Whole | None = Field(
        default=None, description="exponent of the curve, 1 without this key; with `saturating`"
    )
    lag: k.AnyDuration | None = Field(
        default=None, description="time constant by which the sign is behind; none without it"
    )
    source: k.Text = Field(description="where this is from, or `teaching choice`")


class Circulation(Section):
    """`circulation`: what the volume of any fluid does in the vein."""

    behaviour: k.Text | None = Field(
        default=None, description="a ready behaviour, of which this differs by the other keys"
    )
    half_life: k.Duration | None = Field(
        default=None, description="in which half of the volume leaves the circulation"
    )
    urine_share: k.Share | None = Field(
        default=None, description="of what leaves, this is passed as urine"
    )
    responses: list[Response] = Field(default=[], description="of signs, to mL/kg")
    source: k.Text | None = Field(default=None, description="where this is from")


class Incompatible(Section):
    """`incompatible`: two fluids or drugs that must not meet in a line or a catheter."""

    first: k.Id = Field(description="a fluid or a drug")
    second: k.Id = Field(description="the other")
    blocks: k.Truth = Field(
        default=False, description="`true`: what falls out blocks the line below"
    )
    looks: k.Text = Field(description="what is seen where they met")
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
    effect_site: k.Duration | None = Field(
        default=None, description="half-time by which the effect is behind the level"
    )
    behaviour: k.Text | None = Field(
        default=None, description="a ready behaviour, of which this differs by the other keys"
    )
    responses: list[Response] = Field(default=[], description="of signs, to this drug")
    vesicant: k.Truth = Field(
        default=False, description="`true`: beside the vein it harms the tissue"
    )
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
    circulation: Circulation | None = Field(
        default=None, description="what the volume of any fluid does"
    )
    incompatible: list[Incompatible] = Field(default=[], description="what must not meet")
