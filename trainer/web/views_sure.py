"""How sure the learner was, held against what was right: a small grid."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.scoring.findings import Finding
from trainer.terms import Domain, Verdict
from trainer.web.views_findings import CERTAIN, anchor

WORDS = ("guess", "fairly", CERTAIN)
"""How sure one can say to be, from least to most."""

ROWS = ("right", "not right")

MEANS = {
    ("not right", CERTAIN): "begin with these",
    ("not right", "fairly"): "worth a second look",
    ("not right", "guess"): "you felt it",
    ("right", "guess"): "you know more than you think",
    ("right", "fairly"): "",
    ("right", CERTAIN): "well founded",
}
"""What a cell says of a learner, in a word or two. Chosen by us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueView:
    """One worked-out value in a cell."""

    title: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CellView:
    """One cell: its values, and what they say if there are any."""

    sure: str
    told: tuple[ValueView, ...]
    means: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SureView:
    """The grid: rows right and not right, columns as sure as the learner was."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[CellView, ...]], ...]
    sentence: str


def sure_view(found: tuple[Finding, ...]) -> SureView | None:
    """The grid over values for which the learner said how sure they were; None without any."""
    said = tuple(one for one in found if one.sure in WORDS and one.domain is Domain.CALCULATING)
    if not said:
        return None
    rows = tuple((row, tuple(_cell(row, sure, said) for sure in WORDS)) for row in ROWS)
    return SureView(columns=WORDS, rows=rows, sentence=_sentence(said))


def _cell(row: str, sure: str, said: tuple[Finding, ...]) -> CellView:
    mine = tuple(one for one in said if one.sure == sure and _is_right(one) == (row == "right"))
    return CellView(
        sure=sure,
        told=tuple(ValueView(title=one.title, href=f"#{anchor(one.id)}") for one in mine),
        means=MEANS[row, sure] if mine else "",
    )


def _is_right(finding: Finding) -> bool:
    return finding.verdict is Verdict.RIGHT


def _sentence(said: tuple[Finding, ...]) -> str:
    certain = [one for one in said if one.sure == CERTAIN]
    if not certain:
        return "You were certain of none of them."
    right = sum(_is_right(one) for one in certain)
    if right == len(certain):
        return "Of what you were certain of, all was right."
    if len(certain) == 1:
        return "The one that you were certain of was not right."
    if not right:
        return f"Of the {len(certain)} that you were certain of, none was right."
    return f"Of {len(certain)} that you were certain of, {right} {'was' if right == 1 else 'were'} right."
