"""Tables as comma-separated text: written so that no spreadsheet runs what somebody typed, and read
from whatever program wrote them.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scout.errors import Refused
from scout.values import Name, said

RUNS = "=+-@\t\r\n"  # a text that begins so is a formula to a spreadsheet
MOST_BYTES, MOST_ROWS, MOST_COLUMNS = 5_000_000, 5_000, 200
Cell = str | float | int | bool | None


@dataclass(frozen=True)
class Table:
    """A heading a column, and rows of as many texts; `lines` is where each row stands."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]


def guarded(cell: Cell) -> Cell:
    """A text that a spreadsheet would run, or that looks guarded already, behind an apostrophe; a
    number stays a number, its minus too.
    """
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in {*RUNS, "'"} else cell


def as_typed(text: str) -> str:
    """What stood in a cell before it was guarded."""
    return text[1:] if text[:1] == "'" and text[1:2] in {*RUNS, "'"} else text


def write_table(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """The table in UTF-8 with its mark, by which spreadsheets know it."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([guarded(heading) for heading in headings])
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return b"\xef\xbb\xbf" + text.getvalue().encode("utf-8", "surrogatepass")


def read_table(data: bytes, name: str = "file") -> Table:
    """The table in a file with commas, semicolons or tabs. Raises Refused for what is none."""
    if len(data) > MOST_BYTES:
        raise Refused(name, None, said("files.too_large"))
    text = _text(data, name)
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows, lines = [], []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append(tuple(as_typed(cell.strip()) for cell in row))
                lines.append(reader.line_num)
            if len(rows) > MOST_ROWS + 1:
                raise Refused(name, None, said("files.too_many_rows", most=MOST_ROWS))
    except csv.Error as error:
        why = said("files.broken_table", line=reader.line_num, why=Name(str(error)))
        raise Refused(name, None, why) from None
    if len(rows) < 2 or len(rows[0]) > MOST_COLUMNS:
        raise Refused(name, None, said("files.no_table"))
    width = len(rows[0])
    long = next((line for row, line in zip(rows, lines, strict=True) if len(row) > width), None)
    if long is not None:
        raise Refused(name, None, said("files.long_row", line=long))
    filled = (row + ("",) * (width - len(row)) for row in rows[1:])
    return Table(rows[0], tuple(filled), tuple(lines[1:]))


def _text(data: bytes, name: str) -> str:
    """UTF-8, or what spreadsheets of old write; never a file of bytes taken for a text."""
    for kind in ("utf-16",) if data[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(kind)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise Refused(name, None, said("files.no_table"))
