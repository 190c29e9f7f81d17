"""Every exception the trainer raises on purpose, drawn first and then written.

TrainerError
├─ QuantityError        a value or unit that is impossible, unreadable or does not fit
├─ ProblemError         a calculation problem that cannot be solved as it stands
├─ ScenarioError        an author's file; holds all its problems at once
├─ EngineError          a fault of ours: an event out of order or of an unknown kind
├─ StoreError
│   ├─ SequenceTaken    someone else appended first: reload and try again
│   ├─ UnknownEvent     the log was written by a newer trainer
│   ├─ LogDamaged       the log is not what was written
│   │   └─ DatabaseDamaged  not one attempt's log, the whole file
│   └─ StoreUnavailable the database is locked, full, read-only or missing
├─ ScenarioNotFound     no scenario of that name
├─ AttemptNotFound      no attempt of that name
├─ NothingAhead         the ward clock has nothing to leap to
├─ NoSuchChange         an act of an attempt cannot be changed in this way
├─ NoCue                there is nothing a cue could help with, or none may be given
├─ AttemptClosed        the attempt has ended; nothing can be added to it
├─ AttemptOpen          the attempt has not ended; what belongs after its end must wait
├─ StepNotFound         an attempt's scenario has no such calculation
└─ NoOtherNumbers       a calculation has no other numbers that could be drawn

A learner cannot cause an exception by what they do at the bedside: an act that is
impossible is refused, and the refusal is an event with its reason. Who may import
this: everyone.
"""

from __future__ import annotations

from dataclasses import dataclass

from typing_extensions import override


class TrainerError(Exception):
    """Root of the tree. The message says what is wrong and what to do next."""


class QuantityError(TrainerError, ValueError):
    """A value or unit that is impossible, unreadable or does not fit."""


class ProblemError(TrainerError, ValueError):
    """A calculation problem that cannot be solved as it stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong in an author's file: where, what, and the mend.

    `line` and `column` count from 1; both are 0 where a whole file or folder is meant.
    """

    path: str
    line: int
    column: int
    what: str
    mend: str

    @override
    def __str__(self) -> str:
        """`file:line:column: what is wrong; the mend`; without a line, only the file."""
        tail = f"; {self.mend}" if self.mend else ""
        place = f"{self.path}:{self.line}:{self.column}" if self.line else self.path
        return f"{place}: {self.what}{tail}"


class ScenarioError(TrainerError):
    """An author's file that cannot be used. Holds every fault found, in file order."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


class EngineError(TrainerError):
    """A fault of ours: an event out of order or of an unknown kind."""


class StoreError(TrainerError):
    """The record could not be read or written."""


class SequenceTaken(StoreError):
    """Someone else appended first: reload the attempt and try again."""


class UnknownEvent(StoreError):
    """The log holds a kind or version of event that this trainer does not know."""


class LogDamaged(StoreError):
    """The log is not what was written: a gap, a broken row, a wrong hash."""


class DatabaseDamaged(LogDamaged):
    """The database as a whole is damaged, or is none."""


class StoreUnavailable(StoreError):
    """The database is locked, full, read-only or missing."""


class ScenarioNotFound(TrainerError):
    """There is no scenario of that name."""


class AttemptNotFound(TrainerError):
    """There is no attempt of that name."""


class NoSuchChange(TrainerError, ValueError):
    """What is asked about an act cannot be asked: no such act, moment or value."""


class NothingAhead(TrainerError):
    """Nothing happens by itself any more before the time is up."""


class NoCue(TrainerError):
    """There is nothing that a cue could help with, or none may be given."""


class AttemptClosed(TrainerError):
    """The attempt has ended; nothing can be added to it."""


class AttemptOpen(TrainerError):
    """The attempt has not ended; what belongs after its end must wait."""


class StepNotFound(TrainerError):
    """The scenario of an attempt has no such calculation."""


class NoOtherNumbers(TrainerError):
    """A calculation has no other numbers that could be drawn."""
