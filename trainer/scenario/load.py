"""From texts to a scenario: read, check, build; or every fault at once.

The one door to this folder for everyone above. Opens no files: an edge reads the three
texts, asking `references` which policy and formulary a scenario names.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.errors import Fault, ScenarioError
from trainer.scenario import build, build_ward, model, schema, schema_ward
from trainer.scenario.case import Case
from trainer.scenario.check import check_scenario
from trainer.scenario.check_formulary import check_formulary
from trainer.scenario.check_policy import check_policy
from trainer.scenario.places import Document, Faults, in_file_order
from trainer.scenario.reading import join_parts, keys_of, read_parts
from trainer.scenario.section import Section
from trainer.scenario.source import ScenarioText
from trainer.scenario.strict_yaml import read_document

KINDS: dict[str, type[Section]] = {
    "scenario": schema.ScenarioFile,
    "policy": schema_ward.PolicyFile,
    "formulary": schema_ward.FormularyFile,
}
COMMON_KEYS = frozenset.intersection(*(frozenset(keys_of(kind)) for kind in KINDS.values()))


@dataclass(slots=True)
class _Ward:
    """A ward file as far as it is sound, with its faults."""

    faults: tuple[Fault, ...]
    document: Document | None = None
    policy: schema_ward.PolicyFile | None = None
    formulary: schema_ward.FormularyFile | None = None


def load_scenario(source: ScenarioText) -> model.Scenario:
    """The scenario that the three texts hold.

    Raises:
        ScenarioError: with every fault of the three files, in file order.
    """
    policy = _read_policy(source.policy_text, source.policy_path)
    formulary = _read_formulary(source.formulary_text, source.formulary_path)
    found = [*policy.faults, *formulary.faults]
    file = None
    try:
        document = read_document(source.text, source.path)
    except ScenarioError as problem:
        found.extend(problem.faults)
    else:
        file, own = _read_scenario(document, policy.policy, formulary.formulary)
        found.extend(own)
        found.extend(_wrong_id(policy, document.at(("policy",))))
        found.extend(_wrong_id(formulary, document.at(("formulary",))))
    if found or file is None or policy.policy is None or formulary.formulary is None:
        paths = (source.path, source.policy_path, source.formulary_path)
        raise ScenarioError(in_file_order(found, paths))
    return build.build_scenario(
        file,
        build_ward.build_policy(policy.policy),
        build_ward.build_formulary(formulary.formulary),
    )


def _wrong_id(ward: _Ward, named: object) -> list[Fault]:
    """The fault of a ward file that has another id than the one a scenario names it by."""
    file = ward.policy or ward.formulary
    if file is None or ward.document is None or not isinstance(named, str) or file.id == named:
        return []
    faults = Faults(ward.document)
    faults.add(("id",), *wrong_id_words(file.id, named))
    return faults.found


def wrong_id_words(own: str, named: str) -> tuple[str, str]:
    """What is wrong with a ward file's id, and the mend."""
    return f"the id is `{own}`, but scenarios name this file `{named}`", f"write `id: {named}`"


def load_policy(text: str, path: str) -> model.Policy:
    """The policy that a text holds.

    Raises:
        ScenarioError: with every fault, in file order.
    """
    ward = _read_policy(text, path)
    if ward.policy is None or ward.faults:
        raise ScenarioError(in_file_order(ward.faults, (path,)))
    return build_ward.build_policy(ward.policy)


def load_formulary(text: str, path: str) -> model.Formulary:
    """The formulary that a text holds.

    Raises:
        ScenarioError: with every fault, in file order.
    """
    ward = _read_formulary(text, path)
    if ward.formulary is None or ward.faults:
        raise ScenarioError(in_file_order(ward.faults, (path,)))
    return build_ward.build_formulary(ward.formulary)


def references(text: str, path: str) -> tuple[str, str]:
    """The ids of the policy and the formulary that a scenario names.

    Raises:
        ScenarioError: if the text is not read, or names none.
    """
    document = read_document(text, path)
    faults = Faults(document)
    named = []
    for key in ("policy", "formulary"):
        value = document.at((key,))
        if not isinstance(value, str) or not value.strip():
            faults.add((key,), f"`{key}` is missing here", f"add `{key}:` with an id")
        named.append(str(value))
    if faults.found:
        raise ScenarioError(in_file_order(faults.found, (path,)))
    return named[0], named[1]


def own_faults(text: str, path: str) -> tuple[Fault, ...]:
    """The faults of a scenario's own text, for when its ward's files cannot be had."""
    try:
        document = read_document(text, path)
    except ScenarioError as problem:
        return problem.faults
    _, found = _read_scenario(document, None, None)
    return in_file_order(found, (path,))


def fault_at(text: str, path: str, entry: tuple[str, str], what: str, mend: str) -> Fault:
    """A fault that was found outside, at its place in the text.

    Args:
        text: the text of the file.
        path: its path.
        entry: a key at the top, and the id of an entry of the list below it (or "").
        what: what is wrong.
        mend: the mend.

    Raises:
        ScenarioError: if the text is not read.
    """
    faults = Faults(read_document(text, path))
    key, name = entry
    entries = faults.document.at((key,))
    places = [
        (key, number)
        for number, one in enumerate(entries if isinstance(entries, list) else [])
        if isinstance(one, dict) and one.get("id") == name
    ]
    faults.add(places[0] if places else (key,), what, mend)
    return faults.found[0]


def kind_of_file(text: str, path: str) -> str:
    """Which of the three kinds of file a text says it is; a scenario if it does not say.

    Raises:
        ScenarioError: if the text is not read, or its keys are those of another kind.
    """
    document = read_document(text, path)
    value = document.at(("kind",))
    said = value if value in ("policy", "formulary") else "scenario"
    looks = _kind_by_keys(document.value, said)
    if looks != said:
        faults = Faults(document)
        what = f"this is read as a {said}, but its keys are those of a {looks}"
        faults.add(("kind",), what, f"write `kind: {looks}`")
        raise ScenarioError(tuple(faults.found))
    return said


def _kind_by_keys(value: object, said: str) -> str:
    """The kind of file of which there are most keys; the one it says it is if in doubt."""
    written = set(value) - COMMON_KEYS if isinstance(value, dict) else set()
    counts = {name: len(written & set(keys_of(kind))) for name, kind in KINDS.items()}
    most = max(counts, key=lambda name: (counts[name], name == said))
    return most if counts[said] == 0 else said


def _read_scenario(
    document: Document,
    policy: schema_ward.PolicyFile | None,
    formulary: schema_ward.FormularyFile | None,
) -> tuple[schema.ScenarioFile | None, list[Fault]]:
    faults = Faults(document)
    if not _is_mapping(faults):
        return None, faults.found
    parts = read_parts(schema.ScenarioFile, faults)
    file = join_parts(schema.ScenarioFile, parts, faults)
    check_scenario(Case(faults, parts, file, policy, formulary))
    return file, faults.found


def _read_policy(text: str, path: str) -> _Ward:
    try:
        faults = Faults(read_document(text, path))
    except ScenarioError as problem:
        return _Ward(problem.faults)
    if not _is_mapping(faults):
        return _Ward(tuple(faults.found))
    parts = read_parts(schema_ward.PolicyFile, faults)
    file = join_parts(schema_ward.PolicyFile, parts, faults)
    check_policy(faults, parts, file)
    return _Ward(tuple(faults.found), faults.document, policy=file)


def _read_formulary(text: str, path: str) -> _Ward:
    try:
        faults = Faults(read_document(text, path))
    except ScenarioError as problem:
        return _Ward(problem.faults)
    if not _is_mapping(faults):
        return _Ward(tuple(faults.found))
    parts = read_parts(schema_ward.FormularyFile, faults)
    file = join_parts(schema_ward.FormularyFile, parts, faults)
    check_formulary(faults, parts, file)
    return _Ward(tuple(faults.found), faults.document, formulary=file)


def _is_mapping(faults: Faults) -> bool:
    if isinstance(faults.document.value, dict):
        return True
    faults.add((), "this file should be keys with values", "begin it with `format: 1`")
    return False
