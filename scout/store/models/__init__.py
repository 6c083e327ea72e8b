"""All tables, so that whoever imports one knows them all."""

from typing import Any

from scout.store.models.base import Base, Kept
from scout.store.models.days import Calendar, Day
from scout.store.models.gates import GateCode
from scout.store.models.jobs import (
    Candidate,
    Decision,
    Note,
    Packet,
    PacketCode,
    Photo,
    Printing,
    PrintTemplate,
    Production,
    SavedSearch,
    Scene,
    Setup,
)
from scout.store.models.people import (
    Change,
    Invitation,
    Login,
    Move,
    Passkey,
    Person,
    RecoveryCode,
    SecondStep,
    Sent,
    Token,
    WrongTry,
)
from scout.store.models.places import (
    Circuit,
    Content,
    Door,
    Furniture,
    LightReading,
    Location,
    Measurement,
    NoiseReading,
    Outlet,
    Practical,
    Room,
    RoomWords,
    Surface,
    Window,
)
from scout.store.models.shares import Link
from scout.store.models.sounds import NoiseWindow, Recording

# by the names of `records.parts`, which this does not wait for; `translate` joins both
PARTS: dict[str, type[Any]] = {
    "windows": Window,
    "doors": Door,
    "circuits": Circuit,
    "outlets": Outlet,
    "contents": Content,
    "practicals": Practical,
    "furniture": Furniture,
    "noise": NoiseReading,
    "readings": LightReading,
}

__all__ = [
    "PARTS",
    "Base",
    "Calendar",
    "Candidate",
    "Change",
    "Circuit",
    "Content",
    "Day",
    "Decision",
    "Door",
    "Furniture",
    "GateCode",
    "Invitation",
    "Kept",
    "LightReading",
    "Link",
    "Location",
    "Login",
    "Measurement",
    "Move",
    "NoiseReading",
    "NoiseWindow",
    "Note",
    "Outlet",
    "Packet",
    "PacketCode",
    "Passkey",
    "Person",
    "Photo",
    "Practical",
    "PrintTemplate",
    "Printing",
    "Production",
    "Recording",
    "RecoveryCode",
    "Room",
    "RoomWords",
    "SavedSearch",
    "Scene",
    "SecondStep",
    "Sent",
    "Setup",
    "Surface",
    "Token",
    "Window",
    "WrongTry",
]
