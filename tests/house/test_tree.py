"""What stands where: the top level, the wheel, the tree of errors, the writing rules."""

import inspect
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from trainer import errors

ROOT = Path(__file__).parents[2]
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "trainer",
    "templates",
    "static",
    "scenarios",
    "tests",
}


def tracked(*patterns: str) -> list[Path]:
    done = subprocess.run(
        ["git", "ls-files", *patterns], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return [ROOT / name for name in done.stdout.splitlines() if (ROOT / name).is_file()]


def test_the_top_level_holds_what_the_design_says_and_nothing_else():
    names = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in names if not name.startswith(".")} == TOP


def test_the_errors_are_the_tree_that_is_drawn():
    branches = re.findall(r"^[│├└][│├└─ ]*([A-Z]\w+)", errors.__doc__ or "", re.MULTILINE)
    written = {
        name
        for name, cls in inspect.getmembers(errors, inspect.isclass)
        if issubclass(cls, errors.TrainerError)
    }
    assert {"TrainerError", *branches} == written


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return next(out.glob("*.whl"))


def test_the_wheel_carries_templates_static_and_scenarios(wheel: Path):
    names = zipfile.ZipFile(wheel).namelist()
    for folder in ("templates", "static", "scenarios"):
        in_tree = {str(path.relative_to(ROOT)) for path in tracked(folder)}
        shipped = {name.removeprefix("trainer/_assets/") for name in names}
        assert in_tree
        assert in_tree <= shipped


def test_an_installed_wheel_checks_its_own_scenarios(wheel: Path, tmp_path: Path):
    """From another folder, with only the wheel's files: no checkout beside it.

    Every scenario is read; one is rehearsed too, for the rest are the files of the checkout.
    """
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "site")
    script = (
        "from trainer import paths; assert '_assets' in str(paths.SCENARIOS), paths.SCENARIOS;"
        "from trainer.live.library import Library; shelf = Library().shelf();"
        "assert len(shelf.listings) >= 3 and not any(one.faults for one in shelf.listings), shelf;"
        "from trainer.cli.app import main; import sys;"
        "sys.argv = ['trainer', 'check', str(paths.SCENARIOS / 'infiltrated-hand.yaml')]; main()"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", script],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(tmp_path / "site"), "PATH": "/usr/bin"},
    )
    assert done.returncode == 0, done.stdout + done.stderr


SHOWN = tracked("templates", "scenarios/*.yaml", "scenarios/**/*.yaml", "static/*.js")


@pytest.mark.parametrize("path", SHOWN, ids=lambda path: str(path.relative_to(ROOT)))
def test_what_is_shown_follows_the_writing_rules(path: Path):
    """No Greek mu, no cc, no IU, no trailing zero. Source: error-prone lists, from memory."""
    text = path.read_text(encoding="utf-8")
    assert not re.search("[\u00b5\u03bc]", text)
    assert not re.search(r"\d ?cc\b|\bIU\b|\bQD\b", text)
    if path.suffix == ".yaml":
        assert not re.search(r"\b\d+\.\d*0 (mL|mg|mcg|g|kg|units)\b", text)


def test_no_link_in_the_documents_is_dead():
    for document in (ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "scenarios/README.md"):
        text = document.read_text(encoding="utf-8")
        for target in re.findall(r"\]\((?!https?://|#)([^)#]+)", text):
            assert (document.parent / target).exists(), f"{document.name}: {target}"
