"""Who may read which fact on paper: one table, by record and field; what it does not name, nobody
reads.

crew: everybody who works on the day. production: whoever runs it, who also settles fees.
owner: whoever lends the place. client: whoever pays, and chooses.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, TypeVar

from scout.records.base import Record

Reader = Literal["crew", "production", "owner", "client"]
EVERYBODY: tuple[Reader, ...] = ("crew", "production", "owner", "client")
ALL: tuple[Reader, ...] = ("crew", "production", "owner")
OURS: tuple[Reader, ...] = ("crew", "production")
PRODUCTION: tuple[Reader, ...] = ("production",)

_IN_SHEET = (
    "address latitude_deg longitude_deg elevation_m timezone ground_reflectance door_width_m"
    " steps has_lift lift_width_m lift_depth_m parking_distance_m"
)
_PLACE = (
    _IN_SHEET + " door_height_m lift_height_m"
    " door_at parking_at load_in parking parking_hours opening_hours hours permits house_rules restrooms holding phone_signal"
    " emergency_care hazards quiet_from quiet_until"
)
# A record of the room sheet whose class is not named here is a measured thing of a room or of the
# kit: `_MEASURED` says who reads those.
SEEN: Mapping[str, Mapping[str, tuple[Reader, ...]]] = {
    "LocationRecord": {
        "name": ALL,
        "contacts": ALL,
        "permit_lead_days": OURS,
        "permit_granted": OURS,
        **dict.fromkeys(_PLACE.split(), ALL),
        **dict.fromkeys(("fee_amount", "fee_currency", "fee_note"), PRODUCTION),
    },
    "SheetLocation": {"name": ALL, **dict.fromkeys(_IN_SHEET.split(), ALL)},
    "Spot": {"latitude_deg": ALL, "longitude_deg": ALL},
    "Contact": {"name": ALL, "role": ALL, "phone": ALL, "email": OURS, "note": PRODUCTION},
    "ProductionRecord": {
        "title": EVERYBODY,
        "client": (*OURS, "client"),
        "shoot_dates": ALL,
        "crew": OURS,
        "kit": OURS,
    },
    "CrewMember": {"name": OURS, "role": OURS, "phone": OURS, "call_time": OURS},
    "SceneRecord": {"name": EVERYBODY, "seen": OURS, "heard": OURS, "needs": OURS},
    "BudgetNeed": {"topic": PRODUCTION, "strength": PRODUCTION, "weight": PRODUCTION},
    "CandidateRecord": {"state": OURS, "reason": OURS},
    "NoteRecord": {"text": OURS, "audience": OURS},
    "PhotoRecord": dict.fromkeys(
        [
            "caption",
            "in_packet",
            "position",
            "taken_at",
            "bearing_deg",
            "latitude_deg",
            "longitude_deg",
            "overlays",
            "turned",
        ],
        OURS,
    ),
    "NoiseWindowRecord": dict.fromkeys(("what", "days", "from_time", "until_time", "steady"), OURS),
}
_MEASURED = "scout.records.sheet", "scout.records.kit", "scout.records.opening"
_WORKED_BY = (  # what a scene needs, but for its budget; when it is shot, and what was heard
    "scout.records.kept",
    "scout.records.setups",
    "scout.records.day",
    "scout.records.sounds",
)
R = TypeVar("R", bound=Record)


def may_read(record: type[Record], field: str, reader: Reader) -> bool:
    """Whether a reader may see a field of a record; False for what the table does not name."""
    named = SEEN.get(record.__name__)
    if named is not None:
        return reader in named.get(field, ())
    if record.__module__ in _WORKED_BY:
        return reader in OURS
    return record.__module__ in _MEASURED


def cleared(record: R, reader: Reader) -> R:
    """The record with only what a reader may see: the rest is as if nobody had recorded it."""
    kind = type(record)
    news: dict[str, Any] = {}
    for field, rule in kind.model_fields.items():
        value = getattr(record, field)
        if value is None:
            continue
        if not may_read(kind, field, reader):
            news[field] = "" if rule.is_required() and rule.annotation is str else None
        else:
            news[field] = _inside(value, reader)
    return record.model_copy(update=news)


def _inside(value: Any, reader: Reader) -> Any:
    if isinstance(value, Record):
        return cleared(value, reader)
    if isinstance(value, tuple):
        kept = (one for one in value if not _hidden(one, reader))
        return tuple(_inside(one, reader) for one in kept)
    if isinstance(value, Mapping):
        return {key: _inside(one, reader) for key, one in value.items()}
    return value


def _hidden(value: Any, reader: Reader) -> bool:
    """Whether nothing of a record may be seen."""
    return isinstance(value, Record) and not any(
        may_read(type(value), field, reader) for field in type(value).model_fields
    )
