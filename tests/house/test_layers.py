"""The house: imports run one way, the core is pure, floats live in one folder."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CORE = ("clinical", "scenario", "engine", "scoring")
MAY_FLOAT = "engine/physics"
MAY_MATH = {"gcd", "lcm", "floor", "ceil", "isqrt"}


def test_imports_run_one_way_and_the_core_is_pure():
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def core_files() -> list[Path]:
    """Every file of the pure core, but the one folder that needs exponentials."""
    files = [path for layer in CORE for path in sorted((ROOT / "trainer" / layer).rglob("*.py"))]
    return [path for path in files if (ROOT / "trainer" / MAY_FLOAT) not in path.parents]


def floats_in(tree: ast.AST) -> list[str]:
    """Float literals, calls of float() and inexact parts of math, each with its line."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            found.append(f"line {node.lineno}: float literal {node.value}")
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "float":
            found.append(f"line {node.lineno}: float()")
        if isinstance(node, ast.Attribute) and ast.unparse(node.value) == "math":
            names = {node.attr} - MAY_MATH
            found += [f"line {node.lineno}: math.{name}" for name in names]
        if isinstance(node, ast.ImportFrom) and node.module == "math":
            names = {alias.name for alias in node.names} - MAY_MATH
            found += [f"line {node.lineno}: math.{name}" for name in sorted(names)]
    return found


@pytest.mark.parametrize("path", core_files(), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_core_computes_without_floats(path: Path):
    assert floats_in(ast.parse(path.read_text(encoding="utf-8"))) == []


def test_exponentials_are_built_from_exact_operations_alone():
    """No part of math in the folder that may float: another machine's may differ."""
    for path in sorted((ROOT / "trainer" / MAY_FLOAT).glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {
            alias.name
            for node in ast.walk(tree)
            if isinstance(node, ast.Import)
            for alias in node.names
        }
        names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
        assert "math" not in names, path
        powers = [node for node in ast.walk(tree) if isinstance(node, ast.Pow)]
        assert not powers, path


def test_the_float_watch_sees_a_float():
    planted = ast.parse("import math\nx = 0.5\ny = float('1')\nz = math.exp(1)\n")
    assert len(floats_in(planted)) == 3


def test_an_upward_import_is_caught(tmp_path: Path):
    """The tool that watches the layers does fail when a layer reaches up."""
    for layer in ("low", "high"):
        (tmp_path / "planted" / layer).mkdir(parents=True)
        (tmp_path / "planted" / layer / "__init__.py").write_text("")
    (tmp_path / "planted" / "__init__.py").write_text("")
    (tmp_path / "planted" / "low" / "reach.py").write_text("import planted.high\n")
    (tmp_path / "lint.ini").write_text(
        "[importlinter]\nroot_package = planted\n"
        "[importlinter:contract:1]\nname = down\ntype = layers\n"
        "layers =\n    planted.high\n    planted.low\n"
    )
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--config", "lint.ini", "--no-cache"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(tmp_path)},
    )
    assert done.returncode == 1
    assert "planted.low.reach -> planted.high" in done.stdout
