"""Published tables as they lie in `calc/tables/`: comma-separated, `#` before the lines that say
where they come from.
"""

from __future__ import annotations

import csv
from importlib.resources import files


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one table as text, column name to cell."""
    text = (files("scout.calc") / "tables" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
