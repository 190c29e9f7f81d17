"""The bedside at one moment, as frozen values.

Volumes are motes, rates microlitres per hour, moments milliseconds (`engine.amounts`).
`State` is true at `as_of_ms`, the moment of the last event; `engine.carry.carry` moves it
to any later moment before the next happening. Nothing here computes.

The parts that change while time runs have no slots: `engine.copying.changed` copies them
whole, which is more than twice as fast that way, and copying is most of what an event
costs.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.figures import Figures
from trainer.engine.substance_figures import VOLUME as VOLUME
from trainer.errors import EngineError
from trainer.scenario.model import Scenario
from trainer.terms import AlarmKind, Drive, Priority, Role, Running, Site, Verb


@dataclass(frozen=True, slots=True)
class Plug:
    """A stretch of one thing in tubing: a fluid's id, or `terms.AIR`."""

    fluid: str
    volume: int


@dataclass(frozen=True, kw_only=True)
class Container:
    """A supply as it is now. `left` falls; `hung_on` is a line's number or None.

    `fluid` may be a blend (`engine.blend`) once another fluid has run up into it. A rigid
    container (a bottle) lets fluid out without air coming in only as far as its gas
    stretches: `vacuum` is the volume that has left it since it was last open to the air,
    `gas` the gas over its fluid.
    """

    supply: str
    fluid: str
    left: int
    chosen: bool = False
    inspected: bool = False
    labelled: bool = False
    hung_on: int | None = None
    rigid: bool = False
    vented: bool = False  # a rigid container's air inlet is open
    vacuum: int = 0
    gas: int = 0


@dataclass(frozen=True, kw_only=True)
class Inlet:
    """One of a line's two ways in: container, drip chamber, clamp, tubing to the join.

    `contents` runs from the chamber to the join, first plug next to the join (it leaves
    first). `size` is the tubing's volume. `chamber_fluid` is what is in the chamber, which
    outlasts the container it came from. `height_mm` is the container's fluid above the
    height that everything counts from (of a syringe: the syringe in its pump).
    `resistance_u` is of chamber and tubing, in millionths of a mmHg per (mL/h).
    """

    size: int
    chamber_size: int
    container: str = ""  # supply id
    spiked: bool = False
    chamber: int = 0  # fluid in the drip chamber
    chamber_fluid: str = ""
    clamp_open: bool = False
    contents: tuple[Plug, ...] = ()
    joined: bool = False  # secondary: connected to the port; primary: always True
    height_mm: int = 0
    opening: int = 1_000  # of the roller clamp, in thousandths
    resistance_u: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """What the give sentence says: volume over duration at rate, as exact values."""

    volume: int
    rate_ul_h: int
    duration_ms: int


@dataclass(frozen=True, kw_only=True)
class Pump:
    """The pump of one line.

    `entered_*` waits for start; `primary` and `secondary` are in force. `source` is the
    role now running, `rate_ul_h` the rate at which it runs now (0 when it stands).
    `given_*` counts since that programme started, without what keeps the vein open;
    `total` is everything pumped through this line since the attempt began, `total_secondary`
    the part of it pumped under the secondary's programme.
    """

    running: Running = Running.IDLE
    source: Role = Role.PRIMARY
    primary: Programme | None = None
    secondary: Programme | None = None
    entered_primary: Programme | None = None
    entered_secondary: Programme | None = None
    entered_at_ms: int | None = None
    given_primary: int = 0
    given_secondary: int = 0
    total: int = 0
    total_secondary: int = 0
    rate_ul_h: int = 0


@dataclass(frozen=True, kw_only=True)
class Line:
    """A fluid path from containers to vein.

    `above` runs from the join to the pump, `below` from the pump to the vein; the first
    plug leaves first. `stored` is what the pump has pressed into the blocked tubing below
    beyond its size at rest when the attempt began; fluid leaves only when `stored` exceeds
    `rest`, which heights and the vein's pressure move up or down. `drawn` is what the pump
    has sucked from the closed tubing above. A narrowed line has a time constant
    `narrowed_ms` = resistance x compliance; `narrowed_u` is its resistance in millionths of
    a mmHg per (mL/h). `slack` is what a syringe's pump must still move before fluid comes.
    `bubbles` are the moments and volumes of air that passed the detector within the window.
    """

    number: int
    access: str
    above_size: int
    below_size: int
    primary: Inlet
    secondary: Inlet | None
    above: tuple[Plug, ...] = ()
    below: tuple[Plug, ...] = ()
    loaded: bool = False
    connected: bool = False
    patient_clamp_open: bool = True
    primary_lowered: bool = False
    port_scrubbed_s: int = 0
    access_scrubbed_s: int = 0
    blocked_below: str = ""  # the reason, as the author wrote it; empty = open
    blocked_below_mend: Verb | None = None
    blocked_above: str = ""
    blocked_above_mend: Verb | None = None
    stored: int = 0
    drawn: int = 0
    pump: Pump = Pump()
    near_end_told: bool = False
    drive: Drive = Drive.PUMP
    valve_works: bool = True  # the primary's check valve above the join
    hanger_drop_mm: int = 0  # how much lower a lowered primary hangs
    narrowed_below: str = ""  # the reason; empty = not narrowed
    narrowed_mend: Verb | None = None
    narrowed_u: int = 0
    narrowed_ms: int = 0
    rest: int = 0
    slack: int = 0
    bubbles: tuple[tuple[int, int], ...] = ()
    plugged_in: bool = True
    battery_ms: int = 0  # what the battery held at `battery_as_of_ms`
    battery_as_of_ms: int = 0
    set_slipped: bool = False  # lies wrong in its pump, until loaded again
    fluids_met: tuple[tuple[str, str], ...] = ()  # incompatible pairs that met here


@dataclass(frozen=True, kw_only=True)
class AlarmState:
    """An alarm condition that is active, or gone but still announced (latched)."""

    kind: AlarmKind
    line: int
    priority: Priority
    raised_ms: int
    cause_present: bool = True


@dataclass(frozen=True, kw_only=True)
class AccessState:
    """A catheter's site: what is true, and when it was last looked at.

    `tissue` is all that has gone into the tissue here, `tissue_fluids` what of. `pressure_u`
    is the vein's pressure in millionths of a mmHg. `grade` is the author's: of a phlebitis,
    or the least that an infiltration has, whose grade is computed (`engine.site`).
    """

    id: str
    site: Site = Site.PATENT
    seen: str = ""  # what the last look showed
    seen_ms: int | None = None
    grade: int = 0
    height_mm: int = 0
    pressure_u: int = 0
    tissue: int = 0
    tissue_fluids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DrugInBody:
    """One substance in the body at `as_of_ms`, in its own unit.

    `drug` is a drug's id, or `VOLUME` for the circulating volume in mL. `site` is the amount
    that the effect site would hold in balance; `lags` holds, for each response of the
    substance (`figures`), its lagged driver.
    """

    drug: str
    amount: float
    as_of_ms: int
    site: float = 0  # whole zero, so that no float is written here
    lags: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """A sign on its way from one value to another, halving the rest every `half_ms`."""

    sign: str
    value: str  # where it goes
    since: str  # the sign's text when it began
    since_ms: int
    half_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A measurement under way: the sign's value when it was taken, told at `due_ms`."""

    sign: str
    value: str
    taken_ms: int
    due_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """Something said to the learner: a call, an answer, what a look showed."""

    at_ms: int
    who: str
    text: str


@dataclass(frozen=True, kw_only=True)
class EventState:
    """An authored event: waiting, timed for a moment, or come."""

    id: str
    due_ms: int | None = None  # set when its trigger is met and a delay runs
    came_ms: int | None = None


@dataclass(frozen=True, kw_only=True)
class OrderState:
    """An order on the chart: from when it stands, and until when."""

    id: str
    from_ms: int | None = None  # None: not given yet
    until_ms: int | None = None


@dataclass(frozen=True, kw_only=True)
class Ledger:
    """Where fluid has gone, for each fluid's id: the volume balance.

    Containers' first contents + what lines held at the start
    = containers + lines (chambers, tubing, stored - drawn) + vein + tissue + waste.
    Air is not counted here except `air_in_vein`.
    """

    vein: tuple[tuple[str, int], ...] = ()
    tissue: tuple[tuple[str, int], ...] = ()
    waste: tuple[tuple[str, int], ...] = ()
    air_in_vein: int = 0


@dataclass(frozen=True, kw_only=True)
class State:
    """Everything true at the bedside at `as_of_ms`."""

    scenario: Scenario
    figures: Figures  # the ward's pump rules in whole numbers; never changes
    as_of_ms: int
    containers: tuple[Container, ...]
    lines: tuple[Line, ...]
    access: tuple[AccessState, ...]
    orders: tuple[OrderState, ...]
    events: tuple[EventState, ...]
    signs: tuple[tuple[str, str], ...]  # name, value
    signs_seen: tuple[tuple[str, str], ...]  # as last looked at
    ledger: Ledger = Ledger()
    alarms: tuple[AlarmState, ...] = ()
    sound_paused_until_ms: int | None = None
    messages: tuple[Message, ...] = ()
    drugs: tuple[DrugInBody, ...] = ()
    drifts: tuple[Drift, ...] = ()
    samples: tuple[Sample, ...] = ()
    signs_seen_ms: tuple[tuple[str, int], ...] = ()  # name, moment; not here: from the chart
    urine_passed: int = 0  # at the charted rate until `urine_since_ms`, in motes
    urine_since_ms: int = 0
    mains_on: bool = True
    ended: bool = False

    def line(self, number: int) -> Line:
        """The line of that number."""
        for line in self.lines:
            if line.number == number:
                return line
        raise EngineError(f"there is no line {number} at this bedside")

    def container(self, supply: str) -> Container:
        """The container of that supply id."""
        for container in self.containers:
            if container.supply == supply:
                return container
        raise EngineError(f"there is no container {supply} at this bedside")
