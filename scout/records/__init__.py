"""What is kept about rooms, places and productions, as validated records; the room sheet is one of
them.
"""

from scout.records.base import Record, parse_json
from scout.records.checks import (
    kit_refusals,
    marks_refusals,
    read_sheet,
    room_refusals,
    sheet_refusals,
)
from scout.records.kept import (
    CandidateRecord,
    GateRecord,
    LinkRecord,
    LocationRecord,
    Measurement,
    NoteRecord,
    Person,
    PhotoRecord,
    ProductionRecord,
    SceneRecord,
    TokenRecord,
)
from scout.records.people import Invited, Named
from scout.records.setups import SetupRecord
from scout.records.sheet import Kit, Marks, RoomRecord, RoomSheet, SheetLocation

__all__ = [
    "CandidateRecord",
    "GateRecord",
    "Invited",
    "Kit",
    "LinkRecord",
    "LocationRecord",
    "Marks",
    "Measurement",
    "Named",
    "NoteRecord",
    "Person",
    "PhotoRecord",
    "ProductionRecord",
    "Record",
    "RoomRecord",
    "RoomSheet",
    "SceneRecord",
    "SetupRecord",
    "SheetLocation",
    "TokenRecord",
    "kit_refusals",
    "marks_refusals",
    "parse_json",
    "read_sheet",
    "room_refusals",
    "sheet_refusals",
]
