"""How kit gets to a room: the room's own way in where it has one, else its place's."""

from __future__ import annotations

from dataclasses import dataclass

from scout.records.sheet import RoomRecord, SheetLocation, WayIn
from scout.values import Figure, Many, Word, said

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

    @property
    def told(self) -> Many:
        """What is recorded of it, then what is not."""
        facts = {
            "steps": None if self.steps is None else said("packet.steps", n=self.steps),
            "lift": None
            if self.lift is None
            else said("packet.lift" if self.lift else "packet.no_lift"),
            "door_width_m": None
            if self.door_width_m is None
            else said("packet.narrowest", door=Figure(self.door_width_m, "m")),
            "carry_m": None
            if self.carry_m is None
            else said("packet.from_van", carry=Figure(self.carry_m, "m")),
        }
        missing = [Word("fact", key) for key, known in facts.items() if known is None]
        told = [known for known in facts.values() if known is not None]
        if missing:
            told.append(said("packet.not_recorded", facts=Many(tuple(missing), "list")))
        return Many(tuple(told), "list")


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
