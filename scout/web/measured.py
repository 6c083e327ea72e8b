"""Who measured: offered to start from, and kept beside every figure that a form changes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from scout.records import Measurement
from scout.usecases import rooms
from scout.web.work import asking, work


def measured_start(timezone: str | None = None) -> dict[str, Any]:
    """The person at work, and now."""
    who = asking()
    now = (
        datetime.now(UTC)
        .astimezone(ZoneInfo(timezone) if timezone else UTC)
        .replace(second=0, microsecond=0)
    )
    return {"by": who.name if who else None, "at": now.isoformat()}


def save_measured(room_id: int, told: Iterable[Measurement]) -> None:
    """Keep who measured."""
    for measurement in told:
        rooms.add_measurement(work(), room_id, measurement)
