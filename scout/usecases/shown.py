"""Plain views handed to the rim: no row ever leaves the use cases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from scout.values import Name, Said, Word

if TYPE_CHECKING:
    from scout.records import (
        LocationRecord,
        Marks,
        Measurement,
        ProductionRecord,
        RoomRecord,
        SceneRecord,
    )
    from scout.records.sheet import Surface

R = TypeVar("R")


@dataclass(frozen=True)
class Kept(Generic[R]):
    """A record with its key, its version, and who changed it last."""

    id: int
    version: int
    record: R
    changed_at: datetime
    changed_by: str | None


@dataclass(frozen=True)
class Page(Generic[R]):
    """One page of a list. `earlier`: the row before which the page before ends; `later`: the row
    after which the next one begins; None where there is no such page.
    """

    items: tuple[R, ...]
    total: int
    earlier: int | None = None
    later: int | None = None


@dataclass(frozen=True)
class LocationLine:
    id: int
    name: str
    address: str | None
    room_count: int
    timezone: str | None
    missing: tuple[Word, ...]
    photo_id: int | None = None


@dataclass(frozen=True)
class RoomLine:
    id: int
    name: str
    setting: str | None
    location_id: int
    location_name: str
    area_m2: float | None
    height_m: float | None
    window_count: int
    missing: tuple[Word, ...]
    photo_id: int | None = None


@dataclass(frozen=True)
class PhotoLine:
    id: int
    version: int
    caption: str | None
    taken_at: str | None
    in_packet: bool
    position: int
    width_px: int  # as it is shown: turned
    height_px: int
    latitude_deg: float | None
    longitude_deg: float | None
    bearing_deg: float | None
    warnings: tuple[Said | Name, ...]
    original_name: str
    sha256: str
    turned: str


@dataclass(frozen=True)
class PhotoFound:
    """A photo among those of every owner."""

    line: PhotoLine
    owner: str  # "location" or "room"
    owner_id: int
    owner_name: str
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class NoteLine:
    id: int
    version: int
    author: str | None
    written_at: datetime
    text: str
    audience: str


@dataclass(frozen=True)
class CandidateLine:
    id: int
    version: int
    room_id: int
    room_name: str
    location_name: str
    scene_id: int
    scene_name: str
    production_id: int
    state: str
    reason: str | None


@dataclass(frozen=True)
class SceneLine:
    id: int
    name: str
    production_id: int
    candidate_count: int
    chosen: str | None  # the name of the room that is the first choice


@dataclass(frozen=True)
class ProductionLine:
    id: int
    title: str
    client: str | None
    shoot_dates: tuple[str, ...]
    scene_count: int


@dataclass(frozen=True)
class PacketLine:
    id: int
    production_id: int
    revision: int
    made_at: datetime
    made_by: str | None
    edition: str
    on_date: str
    pages: int
    paper: str
    units: str
    changes: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    again: bool = False  # printed before from the same facts: nothing was set anew
    swap: Mapping[str, Any] | None = None  # since which revision, `take_out`, `put_in`


@dataclass(frozen=True)
class BinLine:
    kind: str
    id: int
    name: str
    binned_at: datetime
    binned_by: str | None


@dataclass(frozen=True)
class LocationPage:
    kept: Kept[LocationRecord]
    rooms: tuple[RoomLine, ...]
    photos: tuple[PhotoLine, ...]
    notes: tuple[NoteLine, ...]
    zone_note: Said | None


@dataclass(frozen=True)
class RoomPage:
    kept: Kept[RoomRecord]
    location: Kept[LocationRecord]
    parts: Mapping[str, tuple[Kept[Any], ...]]
    surfaces: Mapping[str, Kept[Surface]]
    marks: Marks | None
    measurements: tuple[Measurement, ...]
    photos: tuple[PhotoLine, ...]
    notes: tuple[NoteLine, ...]
    candidates: tuple[CandidateLine, ...]


@dataclass(frozen=True)
class ProductionPage:
    kept: Kept[ProductionRecord]
    scenes: tuple[SceneLine, ...]
    packets: tuple[PacketLine, ...]


@dataclass(frozen=True)
class ScenePage:
    kept: Kept[SceneRecord]
    production: Kept[ProductionRecord]
    candidates: tuple[CandidateLine, ...]


@dataclass(frozen=True)
class PhotoPage:
    line: PhotoLine
    owner: str  # "location" or "room"
    owner_id: int
    owner_name: str


@dataclass(frozen=True)
class PhotoAdded:
    id: int
    warnings: tuple[Said | Name, ...]
    duplicate_of: int | None
