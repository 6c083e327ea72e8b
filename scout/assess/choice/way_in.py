"""How kit gets to a room: the room's own way in where it has one, else its place's."""

from __future__ import annotations

from dataclasses import dataclass

from scout.records.sheet import RoomRecord, SheetLocation, WayIn

OF_PLACE = {
    "steps": "steps",
    "lift": "has_lift",
    "door_width_m": "door_width_m",
    "carry_m": "parking_distance_m",
}


@dataclass(frozen=True)
class Way:
    """Steps, lift, narrowest door and carry; None: not recorded, and `paths` says where it would be."""

    steps: int | None
    lift: bool | None
    door_width_m: float | None
    carry_m: float | None
    paths: tuple[tuple[str, str], ...]

    def path(self, fact: str) -> str:
        """Where a fact stands, or would."""
        return dict(self.paths)[fact]


def way_in(room: RoomRecord, place: SheetLocation | None) -> Way:
    """A room's own way in goes before its place's, fact by fact."""
    own = room.way_in or WayIn()
    facts, paths = {}, []
    for fact, of_place in OF_PLACE.items():
        facts[fact] = getattr(own, fact)
        is_own = facts[fact] is not None or place is None
        if not is_own:
            facts[fact] = getattr(place, of_place)
        paths.append((fact, f"room.way_in.{fact}" if is_own else f"location.{of_place}"))
    return Way(**facts, paths=tuple(paths))


def has_way_in(room: RoomRecord, place: SheetLocation | None) -> bool:
    """Whether anything of a way in is recorded, of the room or of its place."""
    of_place = (getattr(place, key, None) for key in OF_PLACE.values())
    return room.way_in is not None or any(fact is not None for fact in of_place)
