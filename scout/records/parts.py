"""The kinds of part that a room is made of, in the order of the sheet: one table for rows, forms,
pages and words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from scout.records.base import Record, words_of
from scout.records.sheet import (
    Circuit,
    Content,
    Door,
    Furniture,
    LightReading,
    Material,
    NoiseReading,
    Outlet,
    Practical,
    RoomRecord,
    Window,
)
from scout.values import Word


@dataclass(frozen=True)
class PartKind:
    """One kind of part. Its rows carry the names of its record; its name is a key of the room."""

    name: str
    record: type[Record]
    letter: str | None  # with which its labels begin; None: its parts have none
    can_be_none: bool = True  # whether somebody may look for it and find none

    @property
    def one(self) -> Word:
        """What one such part is called."""
        return Word("kind", f"{self.name}.one")

    @property
    def many(self) -> Word:
        """What several are called."""
        return Word("kind", f"{self.name}.many")


PARTS: Mapping[str, PartKind] = MappingProxyType(
    {
        kind.name: kind
        for kind in (
            PartKind("windows", Window, "W"),
            PartKind("doors", Door, "D"),
            PartKind("circuits", Circuit, "K"),
            PartKind("outlets", Outlet, "P"),
            PartKind("contents", Content, None),
            PartKind("practicals", Practical, "L"),
            PartKind("furniture", Furniture, "F"),
            PartKind("noise", NoiseReading, "N", can_be_none=False),
            PartKind("readings", LightReading, "R", can_be_none=False),
        )
    }
)
OWN_ROOM_FIELDS: tuple[str, ...] = tuple(
    field for field in RoomRecord.model_fields if field not in {*PARTS, "surfaces"}
)  # what a room is by itself


def next_label(room: RoomRecord, kind: str) -> str | None:
    """The first free label of a kind, such as W3; None where its parts have none."""
    letter = PARTS[kind].letter
    if letter is None:
        return None
    used = {getattr(part, "id", "") for name in PARTS for part in getattr(room, name) or ()}
    return next(
        f"{letter}{number}" for number in range(1, len(used) + 2) if f"{letter}{number}" not in used
    )


_FURNISHING = frozenset({"seats_upholstered", "seats_wooden", "audience", "person"})
_CARPETS = frozenset({"carpet_thin", "carpet_closed_foam", "carpet_open_foam"})
_FLOORS = frozenset({"concrete_floor", "wood_floor", "linoleum"})
_NEVER_OF = {
    "wall": _FURNISHING
    | _FLOORS
    | {"carpet_closed_foam", "carpet_open_foam", "plasterboard_ceiling"},
    "ceiling": _FURNISHING
    | _FLOORS
    | _CARPETS
    | {"plasterboard_wall", "wood_door", "curtain_velvet"},
    "floor": _FURNISHING
    | {"brick_rendered", "plasterboard_wall", "plasterboard_ceiling", "double_glazing", "wood_door"}
    | {"drapes_cotton", "curtain_light", "curtain_velvet", "ceiling_tile", "rockwool"},
}
# what is offered for a surface; what a sheet says otherwise is taken all the same
MATERIALS_OF: Mapping[str, tuple[str, ...]] = {
    kind: tuple(word for word in words_of(Material) if word not in never)
    for kind, never in _NEVER_OF.items()
}
