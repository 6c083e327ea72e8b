"""Templates: laid out to be read."""

from __future__ import annotations

from scout import places

MOST_COLUMNS = 120  # as DEVELOPERS.md says; Python has its formatter for that, templates have this


def test_what_was_typed_keeps_its_letters() -> None:
    """property: Jinja's own filter makes all but the first letter small, names among them."""
    small = [
        file.name
        for file in places.TEMPLATES.rglob("*.html")
        if "|capitalize" in file.read_text(encoding="utf-8")
    ]
    assert small == []


def test_no_line_of_a_template_is_longer_than_a_screen() -> None:
    files = sorted(places.TEMPLATES.rglob("*.html"))
    assert files
    long = [
        f"{file.relative_to(places.TEMPLATES)}:{number}"
        for file in files
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > MOST_COLUMNS
    ]
    assert long == []
