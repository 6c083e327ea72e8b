"""Where templates, migrations and the demo's data lie, in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_SHIPPED = _PACKAGE / "_shipped"  # only a built wheel has it
_ROOT = _SHIPPED if _SHIPPED.is_dir() else _PACKAGE.parent

TEMPLATES = _ROOT / "templates"
MIGRATIONS = _ROOT / "migrations"
DEMO_DATA = _ROOT / "demo_data"
