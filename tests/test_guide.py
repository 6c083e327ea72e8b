"""A command, a setting or a verdict word that the guide does not name fails here; so does a layout
that drifted.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

from scout import places
from scout.assess import answers
from scout.assess.choice import compare as choice
from scout.cli import COMMANDS
from scout.records import kept

ROOT = Path(__file__).resolve().parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_command_is_in_the_guide() -> None:
    assert [name for name in COMMANDS if f"`scout {name}" not in GUIDE] == []
    assert all((ROOT / "scout" / "cli" / f"{name}_command.py").is_file() for name in COMMANDS)


def test_every_setting_is_in_the_guide() -> None:
    named = {
        name
        for path in (ROOT / "scout").rglob("*.py")
        for name in re.findall(r"SILLBOOK_[A-Z_]+[A-Z]", path.read_text(encoding="utf-8"))
    }
    assert named
    assert [name for name in sorted(named) if f"`{name}" not in GUIDE] == []


def test_every_verdict_word_is_in_the_guide() -> None:
    words = {
        *answers.LEVELS,
        *get_args(answers.Risk),
        *get_args(choice.CellLevel),
        *get_args(kept.CandidateState),
        "clean",
        "usable",
        "repair",
        "unusable",
    }
    assert [word for word in sorted(words) if f"`{word}`" not in GUIDE] == []


def test_the_shipped_folders_are_where_they_are_said_to_be() -> None:
    assert all(
        folder.is_dir() for folder in (places.TEMPLATES, places.MIGRATIONS, places.DEMO_DATA)
    )


def test_no_lock_file_names_a_host() -> None:
    for path in (ROOT / ".ci").glob("*.txt"):
        assert "://" not in path.read_text(encoding="utf-8")
