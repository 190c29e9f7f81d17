"""The tables of the format reference, made from the schema and the vocabulary.

`scenarios/README.md` carries them between markers; a test holds them against these. Here
is only text; `tests.unit.scenario.write_reference` puts it into the file.
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic.fields import FieldInfo

from trainer.scenario import kinds, known_signs, schema, schema_ward
from trainer.scenario.check_drive import LACKED_ACTS
from trainer.scenario.check_events import EFFECT_KEYS
from trainer.scenario.reading import kind_words
from trainer.scenario.reference_behaviours import behaviours_table
from trainer.scenario.section import Section
from trainer.terms import SHAPES, AlarmKind, domain_of_act

SECTIONS: dict[str, type[Section]] = {
    "scenario": schema.ScenarioFile,
    "objectives": schema.Objective,
    "patient": schema.Patient,
    "access": schema.Access,
    "signs": schema.Sign,
    "supplies": schema.Supply,
    "lines": schema.Line,
    "tubing": schema.Tubing,
    "hung": schema.Hung,
    "orders": schema.Order,
    "expect": schema.Step,
    "cues": schema.Cue,
    "never": schema.Never,
    "events": schema.Event,
    "when": schema.When,
    "effects": schema.Effect,
    "own-responses": schema.OwnResponse,
    "vary": schema.Range,
    "conduct": schema.Conduct,
    "conduct-steps": schema.ConductStep,
    "until": schema.Until,
    "change": schema.Change,
    "policy": schema_ward.PolicyFile,
    "rounding": schema_ward.RoundingRow,
    "pump": schema_ward.Pump,
    "hydraulics": schema_ward.Hydraulics,
    "catheters": schema_ward.Catheter,
    "syringes": schema_ward.Syringe,
    "marking": schema_ward.Marking,
    "formulary": schema_ward.FormularyFile,
    "fluids": schema_ward.Fluid,
    "drugs": schema_ward.Drug,
    "limits": schema_ward.Limit,
    "responses": schema_ward.Response,
    "circulation": schema_ward.Circulation,
    "incompatible": schema_ward.Incompatible,
}
"""The name of each table, and what it is made from."""


def blocks() -> dict[str, str]:
    """Every generated part of the reference, by the name in its markers."""
    tables = {name: _section_table(kind) for name, kind in SECTIONS.items()}
    return {
        **tables,
        "acts": _acts_table(),
        "act-keys": _rows("key | value | what", _key_rows(schema.ActKeys)),
        "happenings": _happenings_table(),
        "lacked-acts": _lacked_acts(),
        "behaviours": behaviours_table(),
        "known-signs": _known_signs(),
        "words": _words_list(),
    }


def in_markers(readme: str, name: str) -> str | None:
    """What stands between the markers of a block in a text, or None if they are missing."""
    begin, end = markers(name)
    if begin not in readme or end not in readme:
        return None
    return readme.split(begin, 1)[1].split(end, 1)[0].strip()


def markers(name: str) -> tuple[str, str]:
    """The two comments round a generated block."""
    return f"<!-- begin {name} -->", f"<!-- end {name} -->"


def _rows(head: str, rows: Sequence[tuple[str, ...]]) -> str:
    titles = head.split(" | ")
    lines = [f"| {' | '.join(titles)} |", f"|{'---|' * len(titles)}"]
    lines += [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join(lines)


def _section_table(kind: type[Section]) -> str:
    """The keys of a section; those that it shares with others are in a table of their own."""
    fields = {field.alias or name: field for name, field in kind.model_fields.items()}
    shared = {f"`{name}`" for part in kind.__bases__ for name in getattr(part, "model_fields", ())}
    rows = [
        (key, value, _need(fields[key.strip("`")]), what)
        for key, value, what in _key_rows(kind)
        if key not in shared
    ]
    return _rows("key | value | | what", rows)


def _need(field: FieldInfo) -> str:
    """`must`, `may`, or what holds without the key."""
    if field.is_required():
        return "must"
    default = ", ".join(field.default) if isinstance(field.default, list) else field.default
    return f"may, else `{default}`" if isinstance(default, str) and default else "may"


def _key_rows(kind: type[Section]) -> list[tuple[str, str, str]]:
    return [
        (
            f"`{field.alias or name}`",
            kind_words(field.annotation, field.metadata),
            field.description or "",
        )
        for name, field in kind.model_fields.items()
    ]


def _acts_table() -> str:
    rows = []
    for verb, shape in SHAPES.items():
        domain = domain_of_act(verb)
        needs = ", ".join(f"`{param}`" for param in shape.needs)
        may = ", ".join(f"`{param}`" for param in shape.may)
        rows.append((f"`{verb}`", needs, may, str(domain)))
    return _rows("act | it takes | it may take | marked under", rows)


def _happenings_table() -> str:
    rows = [
        (f"`{name}`", ", ".join(f"`{key}`" for key in needs), ", ".join(f"`{key}`" for key in may))
        for name, (needs, may) in EFFECT_KEYS.items()
    ]
    return _rows("`happens` | it must have | it may have", rows)


def _lacked_acts() -> str:
    """Which acts a line of each drive does not have."""
    return "\n".join(
        f"* `drive: {drive}`: no {', '.join(f'`{verb}`' for verb in lacked)}."
        for drive, lacked in LACKED_ACTS.items()
    )


def _known_signs() -> str:
    """Known signs and their units."""
    units = known_signs.UNITS.items()
    return ", ".join(f"`{sign}`{f' ({unit})' if unit else ''}" for sign, unit in units) + "."


def _words_list() -> str:
    lists = (
        ("Alarm conditions", tuple(AlarmKind)),
        ("What a learner can be asked to work out", kinds.ASKED),
        ("Whom a learner can tell", kinds.PEOPLE),
        ("How air is cleared", kinds.AIR_CLEARED_HOW),
        ("What can vary", kinds.VARIABLE),
    )
    return "\n".join(
        f"* {title}: {', '.join(f'`{word}`' for word in words)}." for title, words in lists
    )
