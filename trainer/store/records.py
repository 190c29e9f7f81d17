"""What the log holds besides the engine's events, and the shape of one row.

`Opened` is an attempt's first row and holds all that is needed to replay it. `PaceSet`,
`Leapt` and `ClockHeld` say how the ward clock moved, `Reflected`, `Redone` and `Remarked`
come after the end; the engine does not know any of them.
Nothing here knows the database. Who may import this: store and above.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from hashlib import sha256

from trainer.engine.events import Event, Input
from trainer.scenario.source import ScenarioText


class Pace(StrEnum):
    """How fast the ward clock runs against the wall clock."""

    HELD = "held"
    X1 = "x1"
    X5 = "x5"
    X10 = "x10"
    X30 = "x30"
    X60 = "x60"

    @property
    def factor(self) -> int:
        """Simulated milliseconds in one millisecond of wall time; 0 when held."""
        return 0 if self is Pace.HELD else int(self.value.removeprefix("x"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """An attempt began. Always at 0 ms, always the first row."""

    at_ms: int
    learner: str
    scenario: str  # its id
    title: str
    seed: int
    engine_version: int
    scenario_format: int
    trainer_version: str
    scenario_path: str
    scenario_text: str
    scenario_sha256: str
    policy_path: str
    policy_text: str
    policy_sha256: str
    formulary_path: str
    formulary_text: str
    formulary_sha256: str
    variation: int = 1  # which way of drawing numbers the seed was made for
    purpose: str = "formative"

    @property
    def source(self) -> ScenarioText:
        """The three texts, as the loader takes them."""
        return ScenarioText(
            path=self.scenario_path,
            text=self.scenario_text,
            policy_path=self.policy_path,
            policy_text=self.policy_text,
            formulary_path=self.formulary_path,
            formulary_text=self.formulary_text,
        )

    def altered_text(self) -> str:
        """Which of the three texts is not the one whose hash was kept; empty if none."""
        texts = (
            ("scenario", self.scenario_text, self.scenario_sha256),
            ("policy", self.policy_text, self.policy_sha256),
            ("formulary", self.formulary_text, self.formulary_sha256),
        )
        return next((name for name, text, kept in texts if hash_of(text) != kept), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class PaceSet:
    """Someone set the ward clock's pace."""

    at_ms: int
    pace: Pace


@dataclass(frozen=True, slots=True, kw_only=True)
class Leapt:
    """The ward clock leapt: to the next happening, or by a wait."""

    at_ms: int
    to_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockHeld:
    """The ward clock stood still from here, because nobody watched or the server ended."""

    at_ms: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reflected:
    """The learner wrote down what they think of it, after the end. The last one counts."""

    at_ms: int
    question: str  # "went-well", "have-back", "next-time"
    text: str  # as typed


@dataclass(frozen=True, slots=True, kw_only=True)
class Redone:
    """After the end the learner did one step again with fresh numbers."""

    at_ms: int
    order: str
    quantity: str
    seed: int
    entered: str  # as typed
    sure: str
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarked:
    """The attempt was marked again by another policy. The first mark stays beside it."""

    at_ms: int
    policy_path: str
    policy_text: str
    policy_sha256: str


ClockRecord = PaceSet | Leapt | ClockHeld
AfterRecord = Reflected | Redone | Remarked
"""What is kept with an attempt after its end; the engine and the marks do not know it."""
Record = Opened | ClockRecord | AfterRecord | Event
Deed = Opened | ClockRecord | AfterRecord | Input
"""What someone did; the other records are what it brought, or what time brought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One row of an attempt's log, read back."""

    sequence: int  # dense, from 1
    record: Record
    actor: str
    token: str  # the client's token, on the first row of what it brought; else empty
    recorded_at: datetime  # wall time, UTC


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredRow:
    """One row as text, before decoding: the same in the database and in an export."""

    sequence: int
    at_ms: int
    kind: str
    version: int
    payload: str  # JSON
    actor: str
    token: str
    recorded_at: str  # ISO 8601, UTC


@dataclass(frozen=True, slots=True, kw_only=True)
class AttemptLine:
    """One attempt in a list."""

    id: str
    learner: str
    scenario: str
    title: str
    opened_at: datetime
    ended_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Append:
    """Rows to be written together, right after the row `after` (0: the attempt is new).

    All of them are written or none. A `token` that this attempt has already seen makes
    the whole append a repetition that changes nothing.
    """

    attempt: str
    after: int
    records: tuple[Record, ...]
    actor: str
    recorded_at: datetime
    token: str = ""


@dataclass(frozen=True, slots=True)
class Appended:
    """What became of an append: the last row's sequence, or where the token first stood."""

    sequence: int
    repeated: bool = False


def hash_of(text: str) -> str:
    """SHA-256 of a text in UTF-8, in hexadecimal."""
    return sha256(text.encode(errors="surrogatepass")).hexdigest()
