"""Puts the generated tables into `scenarios/README.md`:

python -m tests.unit.scenario.write_reference

The engine's list of simplifications is put in here, since the format's own code must not know
the engine.
"""

from trainer.engine.simplifications import SIMPLIFICATIONS
from trainer.paths import SCENARIOS
from trainer.scenario.reference import blocks, markers


def every_block() -> dict[str, str]:
    """Every generated part of the reference, by the name in its markers."""
    simplified = "\n".join(f"* {sentence}" for _, sentence in SIMPLIFICATIONS)
    return {**blocks(), "simplifications": simplified}


def written(readme: str) -> str:
    """The reference with every generated block made anew."""
    for name, block in every_block().items():
        begin, end = markers(name)
        before, rest = readme.split(begin, 1)
        after = rest.split(end, 1)[1]
        readme = f"{before}{begin}\n{block}\n{end}{after}"
    return readme


if __name__ == "__main__":
    path = SCENARIOS / "README.md"
    path.write_text(written(path.read_text(encoding="utf-8")), encoding="utf-8")
