"""What the checks look at: the sound parts of a scenario with its ward, and all names.

Here: one value that holds everything a check may ask for. Names are taken from the file
as written, so that an unsound entry does not make every mention of it a fault. For
`trainer.scenario` alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeVar

from trainer.scenario import schema, schema_ward
from trainer.scenario.places import Faults, Path, meant, nearest
from trainer.scenario.section import Section

S = TypeVar("S", bound=Section)


@dataclass(frozen=True, slots=True)
class Names:
    """What the entries of a list are called, and which of these entries are unsound."""

    every: tuple[str, ...]
    unsound: tuple[str, ...]
    whole: bool  # every entry is sound, and there is a list at all

    def may_hold(self, name: str, *, numbers: bool = False) -> bool:
        """Whether the name is there, or may be meant by an entry that is not sound.

        Args:
            name: what is looked for.
            numbers: names are numbers, for which there is no nearest one.
        """
        if name in self.every or (not self.every and not self.whole):
            return True
        return bool(nearest(name, self.unsound)) or (numbers and not self.whole)


@dataclass(slots=True)
class Case:
    """A scenario under check. `file`, `policy` and `formulary` are None when unsound."""

    faults: Faults
    parts: dict[str, object]
    file: schema.ScenarioFile | None = None
    policy: schema_ward.PolicyFile | None = None
    formulary: schema_ward.FormularyFile | None = None
    fluids: dict[str, schema_ward.Fluid] = field(default_factory=dict)
    drugs: dict[str, schema_ward.Drug] = field(default_factory=dict)
    _names: dict[tuple[str, ...], Names] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.formulary is not None:
            self.fluids = {fluid.id: fluid for fluid in self.formulary.fluids}
            self.drugs = {drug.id: drug for drug in self.formulary.drugs}

    def every(self, kind: type[S], key: str) -> list[S]:
        """The sound entries of a list section."""
        entries = self.parts.get(key)
        found = entries if isinstance(entries, list) else []
        return [entry for entry in found if isinstance(entry, kind)]

    @property
    def patient(self) -> schema.Patient | None:
        """The patient, if that section is sound."""
        patient = self.parts.get("patient")
        return patient if isinstance(patient, schema.Patient) else None

    def written(self, *place: str, key: str = "id") -> Names:
        """What the entries of a list are called as written, sound or not."""
        if place not in self._names:
            self._names[place] = self._names_written(place, key)
        return self._names[place]

    def _names_written(self, place: tuple[str, ...], key: str) -> Names:
        entries = self.faults.document.at(place)
        if not isinstance(entries, list):
            return Names((), (), whole=False)
        sound = {section.place for section in self._sections(place)}
        every, unsound = [], []
        for number, entry in enumerate(entries):
            name = entry.get(key) if isinstance(entry, dict) else None
            every.append(str(name))
            if (*place, number) not in sound and self._has_fault_under((*place, number)):
                unsound.append(str(name))
        return Names(tuple(dict.fromkeys(every)), tuple(unsound), whole=not unsound)

    def _has_fault_under(self, place: Path) -> bool:
        """Whether a fault was noted in that part of the document."""
        document = self.faults.document
        marks = {
            (mark.line, mark.column)
            for marks in (document.marks, document.key_marks)
            for path, mark in marks.items()
            if path[: len(place)] == place
        }
        return any((fault.line, fault.column) in marks for fault in self.faults.found)

    def _sections(self, place: tuple[str, ...]) -> list[Section]:
        if place == ("patient", "access"):
            return list(self.patient.access) if self.patient else []
        return self.every(Section, place[0])

    @property
    def line_numbers(self) -> Names:
        """The numbers of the lines as written."""
        return self.written("lines", key="number")

    @property
    def accesses(self) -> Names:
        """The ids of the catheters as written."""
        return self.written("patient", "access")

    @property
    def signs(self) -> Names:
        """The names of the vital signs as written."""
        signs = self.faults.document.at(("patient", "signs"))
        named = tuple(signs) if isinstance(signs, dict) else ()
        return Names(named, (), whole=signs is None or isinstance(signs, dict))

    @property
    def fluid_names(self) -> Names:
        """The ids of the formulary's fluids."""
        return Names(tuple(self.fluids), (), whole=self.formulary is not None)

    def supply(self, supply_id: str) -> schema.Supply | None:
        """The sound supply of that id."""
        entries = self.every(schema.Supply, "supplies")
        return next((one for one in entries if one.id == supply_id), None)

    def line(self, number: int | None) -> schema.Line | None:
        """The sound line of that number."""
        entries = self.every(schema.Line, "lines")
        return next((one for one in entries if one.number == number), None)

    def refuse(self, section: Section, key: str, what: str, mend: str = "") -> None:
        """Note a fault at one key of a section (or at the section)."""
        self.faults.add((*section.place, key) if key else section.place, what, mend)

    def refuse_key(self, section: Section, key: str, what: str, mend: str = "") -> None:
        """Note a fault at the key itself, not at its value."""
        self.faults.add((*section.place, key), what, mend, key=True)

    def known(self, section: Section, key: str, name: object, names: Names, of: str) -> bool:
        """Whether a name leads anywhere; a fault is noted if it surely does not."""
        if name is None or names.may_hold(str(name), numbers=of == "line"):
            return True
        mend = meant(str(name), names.every, of=of)
        self.refuse(section, key, f"there is no {of} `{name}`", mend)
        return False

    def refuse_repeats(self, place: Path, key: str, of: str) -> None:
        """Note each id that an earlier entry of the list has already."""
        entries = self.faults.document.at(place)
        seen: set[str] = set()
        for number, entry in enumerate(entries if isinstance(entries, list) else []):
            name = entry.get(key) if isinstance(entry, dict) else None
            if name is not None and str(name) in seen:
                self.faults.add(
                    (*place, number, key),
                    f"there is already a {of} `{name}`",
                    "choose another name",
                )
            seen.add(str(name))
