"""Finds and reads scenario files; remembers what it read until a file changes.

A scenario may lie anywhere in the folders. The policy and the formulary that it names by
id are `policies/ID.yaml` and `formularies/ID.yaml`, looked for beside the scenario, then
in each folder above it, then in the other folders. A file that cannot be used does not
hide the others: it is listed with its faults.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from errno import EINVAL
from pathlib import Path
from stat import S_ISREG

from trainer.errors import Fault, ScenarioError, ScenarioNotFound
from trainer.paths import SCENARIOS
from trainer.scenario.load import fault_at, load_scenario, references
from trainer.scenario.model import Scenario
from trainer.scenario.source import ScenarioText, text_from_bytes

WARD_FOLDERS = {"policy": "policies", "formulary": "formularies"}
SUFFIXES = (".yaml", ".yml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """One scenario file: ready to be used, or with its faults."""

    path: Path
    id: str  # the file's name without ending while the file cannot be read
    source: ScenarioText | None = None
    scenario: Scenario | None = None
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """All scenarios found, in the order of their paths, and what is wrong with folders."""

    listings: tuple[Listing, ...]
    faults: tuple[Fault, ...] = ()


Stamp = tuple[tuple[str, int, int], ...]  # path, time of change, size of the files read


class Library:
    """The scenarios in one or more folders."""

    def __init__(self, folders: tuple[Path, ...] = (SCENARIOS,)) -> None:
        self.folders = folders
        self._read: dict[Path, tuple[Stamp, Listing]] = {}

    def shelf(self) -> Shelf:
        """Everything in the folders as it is now. Never raises for a fault in a file."""
        faults: list[Fault] = []
        paths = [path for folder in self.folders for path in _scenario_files(folder, faults)]
        listings = [self._listing(path) for path in dict.fromkeys(paths)]
        return Shelf(listings=_without_twins(listings), faults=tuple(faults))

    def find(self, scenario_id: str) -> Listing:
        """The usable scenario of that id.

        Raises:
            ScenarioNotFound: if there is none.
            ScenarioError: if there is one, with faults.
        """
        shelf = self.shelf()
        found = next((one for one in shelf.listings if one.id == scenario_id), None)
        if found is None:
            raise ScenarioNotFound(_not_found(scenario_id, shelf, self.folders))
        if found.faults:
            raise ScenarioError(found.faults)
        return found

    def _listing(self, path: Path) -> Listing:
        stamp, known = self._read.get(path, ((), None))
        if known is not None and stamp == _stamp_again(stamp):
            return known
        files = [path]
        listing = self._listing_anew(path, files)
        self._read[path] = (_stamp(files), listing)
        return listing

    def _listing_anew(self, path: Path, files: list[Path]) -> Listing:
        """Read a scenario with its ward; every file looked at is added to `files`."""
        try:
            source = self._source(path, files)
            scenario = load_scenario(source)
        except ScenarioError as error:
            return Listing(path=path, id=path.stem, faults=error.faults)
        return Listing(path=path, id=scenario.id, source=source, scenario=scenario)

    def _source(self, path: Path, files: list[Path]) -> ScenarioText:
        text = _text(path)
        policy_id, formulary_id = references(text, str(path))
        policy = self._ward_file("policy", policy_id, path, text)
        formulary = self._ward_file("formulary", formulary_id, path, text)
        files += [policy, formulary]
        return ScenarioText(
            path=str(path),
            text=text,
            policy_path=str(policy),
            policy_text=_text(policy),
            formulary_path=str(formulary),
            formulary_text=_text(formulary),
        )

    def _ward_file(self, key: str, name: str, scenario_path: Path, text: str) -> Path:
        """The policy or formulary of that id, nearest to the scenario with this text."""
        kind = WARD_FOLDERS[key]
        folders = (*_upward(scenario_path, self.folders), *self.folders, SCENARIOS)
        places = [folder / kind / f"{name}{suffix}" for folder in folders for suffix in SUFFIXES]
        found = next((place for place in places if place.is_file()), None)
        if found is None or Path(name).name != name:
            what = f"'{name}' is named here, but there is no file {kind}/{name}.yaml"
            mend = f"write it, or name one that is in the folder {kind}"
            raise ScenarioError((fault_at(text, str(scenario_path), (key, ""), what, mend),))
        return found


def read_source(path: Path) -> ScenarioText:
    """One scenario file, anywhere, with the policy and formulary that it names.

    Raises:
        ScenarioError: if one of the three cannot be found or read.
    """
    return Library((path.parent,))._source(path, [])


def _scenario_files(folder: Path, faults: list[Fault]) -> Iterator[Path]:
    """The scenario files of a folder, in order; what is wrong with it goes to `faults`."""
    if not folder.is_dir():
        what = "this is a file, not a folder" if folder.exists() else "there is no such folder"
        faults.append(_fault(folder, what, "name the folder that holds your scenarios"))
        return

    def unreadable(error: OSError) -> None:
        what = f"the folder cannot be read ({error.strerror})"
        faults.append(_fault(Path(error.filename), what, "give yourself the right to read it"))

    for place, inside, files in os.walk(folder, onerror=unreadable):
        inside[:] = sorted(
            one for one in inside if one not in WARD_FOLDERS.values() and not one.startswith(".")
        )
        for name in sorted(files):
            if name.endswith(SUFFIXES) and not name.startswith("."):
                yield Path(place, name)


def _upward(path: Path, roots: tuple[Path, ...]) -> Iterator[Path]:
    """The folders from a file's own up to the folder that was named, or its own alone."""
    root = next((root for root in roots if path.is_relative_to(root)), path.parent)
    for folder in path.parents:
        yield folder
        if folder == root:
            return


def read_plain_file(path: Path) -> bytes:
    """The bytes of a file. A pipe, from which reading might wait for ever, is none.

    Raises:
        OSError: if it is no plain file, or cannot be read.
    """
    if not S_ISREG(path.stat().st_mode):
        raise OSError(EINVAL, "it is no plain file")
    return path.read_bytes()


def _text(path: Path) -> str:
    try:
        content = read_plain_file(path)
    except OSError as error:
        what = f"the file cannot be read ({error.strerror})"
        mend = "check what it is, and your right to read it"
        raise ScenarioError((_fault(path, what, mend),)) from error
    return text_from_bytes(content, str(path))


def _without_twins(listings: list[Listing]) -> tuple[Listing, ...]:
    """The second file of one id is listed under its path with a fault."""
    first: dict[str, Path] = {}
    kept: list[Listing] = []
    for one in listings:
        twin = first.setdefault(one.id, one.path)
        if twin != one.path and one.scenario is not None:
            fault = _fault(one.path, f"the id '{one.id}' is taken by {twin}", "give it its own id")
            one = replace(one, id=str(one.path), scenario=None, source=None, faults=(fault,))
        kept.append(one)
    return tuple(kept)


def _stamp(files: list[Path]) -> Stamp:
    stamps: list[tuple[str, int, int]] = []
    for path in files:
        try:
            status = path.stat()
        except OSError:
            return ()
        stamps.append((str(path), status.st_mtime_ns, status.st_size))
    return tuple(stamps)


def _stamp_again(stamp: Stamp) -> Stamp | None:
    """The same files' stamp now; None if there was nothing to compare."""
    return _stamp([Path(name) for name, _, _ in stamp]) if stamp else None


def _fault(path: Path, what: str, mend: str) -> Fault:
    """A fault of a whole file or folder."""
    return Fault(path=str(path), line=0, column=0, what=what, mend=mend)


def _not_found(scenario_id: str, shelf: Shelf, folders: tuple[Path, ...]) -> str:
    ready = ", ".join(one.id for one in shelf.listings if not one.faults) or "none"
    places = ", ".join(str(folder) for folder in folders)
    return f"There is no scenario '{scenario_id[:80]}' in {places}; there are: {ready}."
