"""A command, a setting or a verdict word that the guide does not name fails here; so does a layout
that drifted.
"""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from itertools import chain
from pathlib import Path
from typing import Any, get_args

from scout import places
from scout.assess import answers
from scout.assess.choice import cells as choice
from scout.cli import COMMANDS
from scout.records import kept

ROOT = Path(__file__).resolve().parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
MOST_LINES = 450
# Larger ones there are; none may be added, and whoever makes one small takes it out of this list.
LARGER = {
    "assess/bounce/windows.py",
    "drawing/charts/lux.py",
    "drawing/charts/sunpath.py",
    "drawing/plan/sheet.py",
    "drawing/plan/sheets.py",
    "records/sheet.py",
    "web/forms/base.py",
}
# Packages of data and a driver that is named in an address: reached by their name, not imported.
REACHED_BY_NAME = re.compile(r"fontpkg_|justmytype_|tzdata$|psycopg$")


def modules(*folders: str) -> Iterator[tuple[Path, ast.Module]]:
    for path in chain.from_iterable(sorted((ROOT / one).rglob("*.py")) for one in folders):
        yield path, ast.parse(path.read_text(encoding="utf-8"))


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


def test_what_the_guide_says_is_held_is_held_by_tests_that_are_there() -> None:
    table = GUIDE.partition("## ASVS")[2].partition("\n## ")[0]
    named = re.findall(r"`([a-z]+/test_[a-z_]+)`", table)
    assert len(named) > 20
    assert [one for one in named if not (ROOT / "tests" / f"{one}.py").is_file()] == []
    assert re.findall(r"`(test_[a-z_]+)`", table) == [], "without its folder nobody finds it"


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


def test_every_room_of_scout_is_in_the_guide_in_the_order_of_its_floors() -> None:
    rooms = [
        path.name + "/" if path.is_dir() else path.name
        for path in sorted((ROOT / "scout").iterdir())
        if not path.name.startswith(("__", "_shipped")) and (path.is_dir() or path.suffix == ".py")
    ]
    rows = re.findall(r"^\| ((?:`[a-z_.]+/?`(?:, )?)+) \|", GUIDE, re.MULTILINE)
    listed = [name for row in rows for name in re.findall(r"`([^`]+)`", row)]
    assert [room for room in rooms if room not in listed and f"`{room}`" not in GUIDE] == []
    layers = PROJECT["tool"]["importlinter"]["contracts"][0]["layers"]
    floors = [name for layer in layers for name in re.split(r" [|:] ", layer)]
    named = [name.strip("/").removesuffix(".py") for name in listed]
    assert [name for name in named if name in floors] == floors


def test_every_dependency_to_run_is_used_by_what_runs() -> None:
    imported: set[str] = set()
    texts: set[str] = set()
    for _, tree in modules("scout", "migrations"):
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                imported |= {one.name.partition(".")[0] for one in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                imported.add(str(node.module).partition(".")[0])
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                texts |= set(re.findall(r"\w+", node.value)) if len(node.value) < 60 else set()
    provides: dict[str, set[str]] = {}
    for name, distributions in packages_distributions().items():
        for one in distributions:
            provides.setdefault(re.sub(r"[-_.]+", "-", one).lower(), set()).add(name)
    idle = []
    for requirement in PROJECT["project"]["dependencies"]:
        distribution = re.split(r"[\[<>=~; ]", requirement)[0]
        names = provides[distribution]
        by_name = {name for name in names if REACHED_BY_NAME.match(name)}
        if not names & imported and not by_name & texts:
            idle.append(distribution)
    assert idle == []


def test_no_module_is_longer_than_one_sitting() -> None:
    long = {
        str(path.relative_to(ROOT / "scout"))
        for path, _ in modules("scout")
        if len(path.read_text(encoding="utf-8").splitlines()) > MOST_LINES
    }
    assert long - LARGER == set()
