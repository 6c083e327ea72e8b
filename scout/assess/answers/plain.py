"""How an answer becomes plain JSON values."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from datetime import date, datetime
from enum import Enum
from typing import Any

from scout.assess.answers.finding import Finding, finding_json
from scout.values import Said, Spoken, said

KEPT_BACK = {"published": False}  # metadata of a field that no answer shows


def as_json(value: Any) -> Any:
    """An answer as plain JSON values: dataclasses become objects, times ISO 8601 with offset,
    `unknown` left out when None.

    Raises ValueError for a number that is not finite: no NaN leaves this program.
    """
    if isinstance(value, Finding):
        return finding_json(value)
    if callable(plain := getattr(value, "plain", None)):
        return plain()  # a record, told by this: loading them all takes a second of a print kept
    if isinstance(value, Spoken):
        return str(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        published = (f.name for f in dataclasses.fields(value) if f.metadata != KEPT_BACK)
        pairs = ((name, getattr(value, name)) for name in published)
        return {
            name: as_json(_reason(part) if name == "unknown" else part)
            for name, part in pairs
            if not (name == "unknown" and part is None)
        }
    if isinstance(value, Enum):
        return as_json(value.value)
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): as_json(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_json(part) for part in value]
    if hasattr(value, "tolist"):  # a numpy scalar or array
        return as_json(value.tolist())
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("an answer holds a number that is not finite")
        return float(
            f"{value:.7g}"
        )  # no answer here is better than that, and a reader should not think so
    raise TypeError(f"cannot write {type(value).__name__} as JSON")


def _reason(unknown: Any) -> Any:
    """Why a figure is missing, as the published key has it: `because ...`."""
    return said("unknown.because", why=unknown) if isinstance(unknown, Said) else unknown
