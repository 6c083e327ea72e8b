"""No sentence is built outside the catalogue, and none is read back."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

SCOUT = Path(__file__).parent.parent / "scout"
ROOMS = ("assess", "calc", "packet", "pages", "web")
ENGLISH = re.compile(r"\b[a-z]{2,} [a-z]{2,}\b")  # two words in a row
# What nobody reads but a programmer or a PDF reader, and modules that still write sentences of
# their own: whoever turns one to values takes its line out.
UNTURNED = ("assess/answers", "packet/setting/embed.py")
# Modules whose regular expressions read what a machine or a form sends, never a sentence.
PARSERS = {
    "web/forms/camera_fields.py": "shutters and stops typed by a person",
    "assess/stage/kit.py": "the words of a light's name, to tell key, fill and back by it",
    "web/security.py": "the header that says where a file stands",
    "packet/setting/bidi.py": "classes of characters, to order a line that runs both ways",
    "packet/setting/clean.py": "characters that no font has",
    "packet/setting/shape.py": "operators of a page's own content",
    "packet/setting/lines.py": "where a line may break",
    "web/walk.py": "the names in a path of the sheet, to the step that asks for it",
    "web/links.py": "the index in a path of the sheet",
    "web/api/__init__.py": "the version that a program sends back",
    "web/api/endpoints.py": "the names in a path; the first sentence of a docstring",
    "web/forms/base.py": "the steps of a path of the sheet",
    "web/forms/sought.py": "what a room must give, typed in one line",
    "web/forms/lines.py": "lengths typed on one line",
    "web/forms/times.py": "dates and times as typed",
}


def modules() -> Iterator[tuple[str, ast.Module]]:
    for room in ROOMS:
        for path in sorted((SCOUT / room).rglob("*.py")):
            name = path.relative_to(SCOUT).as_posix()
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def sentences(tree: ast.Module) -> Iterator[int]:
    """The lines of f-strings that hold English."""
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            literal = "\0".join(
                part.value
                for part in node.values
                if isinstance(part, ast.Constant) and isinstance(part.value, str)
            )
            if ENGLISH.search(literal):
                yield node.lineno


def patterns(tree: ast.Module) -> Iterator[int]:
    """The lines that use a regular expression."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Attribute)
            and isinstance(node.value, ast.Name)
            and node.value.id == "re"
        ):
            yield node.lineno


def test_no_sentence_is_an_f_string() -> None:
    found = [
        f"{name}:{line}"
        for name, tree in modules()
        if not name.startswith(UNTURNED)
        for line in sentences(tree)
    ]
    assert found == []


def test_what_is_turned_is_off_the_list() -> None:
    made = {name for name, tree in modules() if any(True for _ in sentences(tree))}
    done = [one for one in UNTURNED if not any(name.startswith(one) for name in made)]
    assert done == [], "write no sentences any more: take them out of UNTURNED"


def test_no_text_is_read_back() -> None:
    used = {name for name, tree in modules() if any(True for _ in patterns(tree))}
    assert used <= PARSERS.keys(), "a regular expression over what? say so in PARSERS"
    assert PARSERS.keys() <= used, "no longer there"


def test_the_checks_see_what_they_look_for() -> None:
    tree = ast.parse('f"carry {x} to the door"; f"{x} lux"; re.sub("a", "b", text)')
    assert list(sentences(tree)) == [1]
    assert list(patterns(tree)) == [1]
