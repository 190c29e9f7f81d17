"""The tables of the format reference, made from the schema and the vocabulary.

`scenarios/README.md` carries them between markers; a test holds them against these. Here
is only text; `tests.unit.scenario.write_reference` puts it into the file.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.scenario import kinds, schema
from trainer.scenario.check_events import EFFECT_KEYS
from trainer.scenario.reading import kind_words
from trainer.terms import SHAPES, AlarmKind, domain_of_act

SECTIONS: dict[str, type[schema.Section]] = {
    "scenario": schema.ScenarioFile,
    "patient": schema.Patient,
    "access": schema.Access,
    "supplies": schema.Supply,
    "lines": schema.Line,
    "tubing": schema.Tubing,
    "hung": schema.Hung,
    "orders": schema.Order,
    "expect": schema.Step,
    "never": schema.Never,
    "events": schema.Event,
    "when": schema.When,
    "effects": schema.Effect,
    "vary": schema.Range,
    "conduct": schema.Conduct,
    "conduct-steps": schema.ConductStep,
    "until": schema.Until,
    "change": schema.Change,
    "policy": schema.PolicyFile,
    "rounding": schema.RoundingRow,
    "pump": schema.Pump,
    "formulary": schema.FormularyFile,
    "fluids": schema.Fluid,
    "drugs": schema.Drug,
    "limits": schema.Limit,
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


def _section_table(kind: type[schema.Section]) -> str:
    own = [row for row in _key_rows(kind) if not _is_act_key(kind, row[0])]
    needed = {field.alias or name: field.is_required() for name, field in kind.model_fields.items()}
    rows = [
        (key, value, "must" if needed[key.strip("`")] else "may", what) for key, value, what in own
    ]
    return _rows("key | value | | what", rows)


def _is_act_key(kind: type[schema.Section], key: str) -> bool:
    name = key.strip("`")
    return issubclass(kind, schema.ActKeys) and name in schema.ActKeys.model_fields


def _key_rows(kind: type[schema.Section]) -> list[tuple[str, str, str]]:
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
