"""Puts the generated tables into `scenarios/README.md`:

python -m tests.unit.scenario.write_reference
"""

from trainer.paths import SCENARIOS
from trainer.scenario.reference import blocks, markers


def written(readme: str) -> str:
    """The reference with every generated block made anew."""
    for name, block in blocks().items():
        begin, end = markers(name)
        before, rest = readme.split(begin, 1)
        after = rest.split(end, 1)[1]
        readme = f"{before}{begin}\n{block}\n{end}{after}"
    return readme


if __name__ == "__main__":
    path = SCENARIOS / "README.md"
    path.write_text(written(path.read_text(encoding="utf-8")), encoding="utf-8")
