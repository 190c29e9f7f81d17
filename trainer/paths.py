"""Where templates/, static/ and scenarios/ are, in a checkout or in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_SHIPPED = _PACKAGE / "_assets"
ROOT = _SHIPPED if _SHIPPED.is_dir() else _PACKAGE.parent
"""The folder that holds the three: inside the package when installed, else beside it."""

TEMPLATES = ROOT / "templates"
STATIC = ROOT / "static"
SCENARIOS = ROOT / "scenarios"
