"""Who may do what: one table of roles, deeds and kinds of thing. What it does not name, nobody may.

A role holds for all of a workspace, which is all that one database holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal, get_args

from scout.errors import NotAllowed
from scout.packet.privacy import Reader
from scout.records.people import Role
from scout.values import Word, said

if TYPE_CHECKING:
    from scout.usecases.work import Work

Deed = Literal["read", "add", "change", "delete"]
Kind = Literal[
    "location",
    "room",
    "photo",
    "original",
    "recording",
    "noise",
    "note",
    "production",
    "scene",
    "choice",
    "day",
    "packet",
    "link",
    "search",
    "file",
    "bin",
    "history",
    "person",
    "gate",
]
ROLES: tuple[Role, ...] = get_args(Role)
DEEDS: tuple[Deed, ...] = get_args(Deed)
KINDS: tuple[Kind, ...] = get_args(Kind)

_OWNER: tuple[Role, ...] = ("owner",)
_SCOUTS: tuple[Role, ...] = ("owner", "scout")
_TEAM: tuple[Role, ...] = ("owner", "scout", "producer")
_EARS: tuple[Role, ...] = ("owner", "scout", "crew")
_ALL: tuple[Role, ...] = ROLES

MAY: Mapping[Kind, Mapping[Deed, tuple[Role, ...]]] = {
    "location": {"read": _ALL, "add": _TEAM, "change": _TEAM, "delete": _TEAM},
    "room": {"read": _ALL, "add": _SCOUTS, "change": _SCOUTS, "delete": _SCOUTS},
    "photo": {"read": _ALL, "add": _TEAM, "change": _TEAM, "delete": _SCOUTS},
    "original": {"read": _TEAM},  # a file as it came, with where and by what it was taken
    "recording": {"read": _ALL, "add": _EARS, "change": _SCOUTS, "delete": _SCOUTS},
    "noise": {"read": _ALL, "add": _EARS, "change": _SCOUTS, "delete": _SCOUTS},
    "note": {"read": _ALL, "add": (*_TEAM, "crew"), "change": _TEAM, "delete": _TEAM},
    "production": {"read": _ALL, "add": _TEAM, "change": _TEAM, "delete": _TEAM},
    "scene": {"read": _ALL, "add": _TEAM, "change": _TEAM, "delete": _TEAM},
    "choice": {"read": _TEAM, "add": _TEAM, "change": _TEAM, "delete": _TEAM},
    "day": {"read": _ALL, "add": _TEAM, "change": _TEAM, "delete": _TEAM},
    "packet": {"read": _ALL, "add": _TEAM, "change": _TEAM, "delete": _TEAM},
    "link": {"read": _TEAM, "add": _TEAM, "delete": _TEAM},
    "search": {"read": _ALL, "add": _TEAM, "delete": _TEAM},
    "file": {"read": _TEAM, "add": _SCOUTS},
    "bin": {"read": _TEAM},
    "history": {"read": _TEAM, "change": _TEAM},  # who undoes may also do: see usecases/undoing.py
    "gate": dict.fromkeys(DEEDS, _TEAM),  # codes of doors and alarms
    "person": {"read": _OWNER, "add": _OWNER, "change": _OWNER, "delete": _OWNER},
}
# Whoever is not named here reads everything; whoever has no role we know reads as the crew does.
_READS: Mapping[str, Reader | None] = {"owner": None, "scout": None, "producer": None}


def may(role: str, deed: Deed, kind: Kind) -> bool:
    """Whether a role may do a deed to a kind of thing."""
    return role in MAY.get(kind, {}).get(deed, ())


def reads_as(role: str) -> Reader | None:
    """As which reader of paper a role sees facts; None: all of them."""
    return _READS.get(role, "crew")


def need(work: Work, deed: Deed, kind: Kind) -> None:
    """Raises NotAllowed where whoever is at work may not; on the machine itself everything goes."""
    if work.who is not None and not may(work.who.role, deed, kind):
        raise NotAllowed(said("kept.not_your_role", role=Word("person_role", work.who.role)))
