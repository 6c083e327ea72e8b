"""What each address does, and to what: the table of roles (`usecases/roles.py`) then says who may.

An address that is not named here is refused, whoever asks; a test names it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, Literal, cast

from flask import current_app, request
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from scout.usecases.roles import Deed, Kind, may
from scout.web.work import asking

# What a rule may be: open to everybody on the net; for whoever is logged in, as it touches nothing
# but what is their own; a deed and the kind of thing it is done to.
OPEN: Literal["open"] = "open"
OWN: Literal["own"] = "own"
# of these the address says which kind of thing it is
PART, BINNED, OWNER = "part", "binned", "owner"
Rule = Literal["open", "own"] | tuple[Deed, str]

_LOOK_AND_CHANGE: Mapping[str, tuple[Rule, Rule]] = {  # to look (GET), to send (POST)
    "bounce.colour": (("read", "photo"), ("change", "photo")),
    "card.light": (("read", "photo"), ("change", "photo")),
    "photos.show": (("read", "photo"), ("change", "photo")),
    "scenes.candidate": (("read", "choice"), ("change", "choice")),
    "scenes.setup": (("read", "scene"), ("change", "scene")),
    "sound.recording": (("read", "recording"), ("change", "recording")),
}
_RULES: Mapping[str, Rule] = {
    "api.openapi": OPEN,
    "api.show": OPEN,
    "bin.listing": ("read", "bin"),
    "bin.restore": ("delete", BINNED),  # whoever may delete it may have it back
    "bounce.show": ("read", "room"),
    "codes.ask": OPEN,  # it asks for itself: whose password was right a moment ago
    "codes.end": ("change", "person"),
    "codes.off": OWN,
    "codes.show": OWN,
    "day.add_calendar": ("change", "day"),
    "day.calendar": ("read", "day"),
    "day.facts": ("change", "day"),
    "day.hours": ("read", "day"),
    "day.keep": ("change", "day"),
    "day.move": ("change", "day"),
    "day.private_calendar": OPEN,  # whoever knows its address may read it
    "day.revoke_calendar": ("change", "day"),
    "day.show": ("read", "day"),
    "daylight.drawing": ("read", "room"),
    "daylight.show": ("read", "room"),
    "files.read": ("add", "file"),
    "files.show": ("read", "file"),
    "files.take": ("read", "file"),
    "finding.save": ("add", "search"),
    "finding.show": ("read", "search"),
    "finding.to_bin": ("delete", "search"),
    "gates.add": ("add", "gate"),
    "gates.delete": ("delete", "gate"),
    "gates.edit": ("change", "gate"),
    "gates.show": ("read", "gate"),
    "history.listing": ("read", "history"),
    "history.show": ("read", "history"),
    "history.undo": ("change", "history"),
    "home.choose_units": OWN,
    "home.home": OWN,
    "home.methods": OWN,
    "home.words": OWN,
    "leaving.erase": ("delete", "person"),
    "leaving.leave": OWN,
    "leaving.mine": OWN,
    "leaving.take": OWN,
    "locations.add": ("add", "location"),
    "locations.edit": ("change", "location"),
    "locations.listing": ("read", "location"),
    "locations.show": ("read", "location"),
    "locations.to_bin": ("delete", "location"),
    "map.library": OPEN,
    "map.show": ("read", "location"),
    "measuring.show": ("change", "room"),
    "notes.add": ("add", "note"),
    "notes.edit": ("change", "note"),
    "notes.to_bin": ("delete", "note"),
    "outbox.manifest": OPEN,
    "outbox.token": OWN,
    "outbox.waiting": OPEN,
    "outbox.worker": OPEN,
    "packets.cancel": ("add", "packet"),
    "packets.download": ("read", "packet"),
    "packets.forget_template": ("delete", "packet"),
    "packets.making": ("add", "packet"),
    "packets.new_code": ("change", "packet"),
    "packets.page": ("read", "packet"),
    "packets.progress": ("add", "packet"),
    "packets.show": ("read", "packet"),
    "packets.standing": OPEN,  # who holds the paper is told whether it is the last, nothing else
    "packets.start": ("add", "packet"),
    "parts.add": ("add", PART),
    "parts.edit": ("change", PART),
    "parts.say_none": ("change", PART),
    "parts.surface": ("change", "room"),
    "parts.to_bin": ("delete", PART),
    "passkeys.add": OWN,
    "passkeys.ask": OPEN,
    "passkeys.ask_to_add": OWN,
    "passkeys.log_in": OPEN,
    "passkeys.remove": OWN,
    "people.end_session": OWN,
    "people.everybody": ("read", "person"),
    "people.first_user": OPEN,
    "people.invite": ("add", "person"),
    "people.join": OPEN,  # whoever holds the link
    "people.log_in": OPEN,
    "people.log_in_now": OPEN,
    "people.log_out": OWN,
    "people.password": OWN,
    "people.remove": ("delete", "person"),
    "people.reset": ("change", "person"),
    "people.revoke_invitation": ("delete", "person"),
    "people.revoke_token": OWN,
    "people.sessions": OWN,
    "people.set_role": ("change", "person"),
    "people.tokens": OWN,
    "photos.change": ("change", "photo"),
    "photos.listing": ("read", "photo"),
    "photos.move": ("change", "photo"),
    "photos.original": ("read", "original"),
    "photos.overlays": ("change", "photo"),
    "photos.picture": ("read", "photo"),
    "photos.to_bin": ("delete", "photo"),
    "photos.upload": ("add", "photo"),
    "plan.figures": ("read", "room"),
    "plan.save": ("change", "room"),
    "plan.sheets": ("read", "room"),
    "plan.show": ("read", "room"),
    "productions.add": ("add", "production"),
    "productions.add_light": ("change", "production"),
    "productions.edit": ("change", "production"),
    "productions.listing": ("read", "production"),
    "productions.show": ("read", "production"),
    "productions.to_bin": ("delete", "production"),
    "rooms.about": ("read", "room"),
    "rooms.add": ("add", "room"),
    "rooms.drawing": ("read", "room"),
    "rooms.edit": ("change", "room"),
    "rooms.listing": ("read", "room"),
    "rooms.marks": ("change", "room"),
    "rooms.recorded": ("read", "room"),
    "rooms.scenes": ("read", "choice"),
    "rooms.show": ("read", "room"),
    "rooms.to_bin": ("delete", "room"),
    "scenes.add": ("add", "scene"),
    "scenes.add_candidate": ("add", "choice"),
    "scenes.add_setup": ("add", "scene"),
    "scenes.candidate_to_bin": ("delete", "choice"),
    "scenes.client": ("read", "choice"),
    "scenes.compare": ("read", "choice"),
    "scenes.edit": ("change", "scene"),
    "scenes.propose": ("add", "choice"),
    "scenes.setup_to_bin": ("delete", "scene"),
    "scenes.show": ("read", "scene"),
    "scenes.to_bin": ("delete", "scene"),
    "scenes.weigh": ("change", "choice"),
    "shares.add": ("add", "link"),
    "shares.knock": OPEN,  # as what it leads to: whoever holds its address
    "shares.listing": ("read", "link"),
    "shares.page": OPEN,
    "shares.pdf": OPEN,
    "shares.picture": OPEN,
    "shares.revoke": ("delete", "link"),
    "shares.shown": OPEN,
    "sheets.ask_sheet": ("add", "room"),
    "sheets.export": ("read", "file"),
    "sheets.read_sheet": ("add", "room"),
    "sheets.schema": OWN,
    "sighting.facing": ("change", "room"),
    "sighting.facing_from": ("change", "room"),
    "sighting.facing_from_photo": ("change", "room"),
    "sighting.skyline": ("change", "room"),
    "sighting.trace": ("change", "room"),
    "sound.add_noise": ("add", "noise"),
    "sound.bin_noise": ("delete", "noise"),
    "sound.calibrate": ("change", "recording"),
    "sound.original": ("read", "original"),
    "sound.play": ("read", "recording"),
    "sound.progress": ("read", "recording"),
    "sound.show": ("read", "room"),
    "sound.spectrogram": ("read", "recording"),
    "sound.to_bin": ("delete", "recording"),
    "sound.to_reading": ("add", "noise"),
    "sound.upload": ("add", "recording"),
    "static": OPEN,
    "walk.keep": ("add", "room"),
    "walk.keep_on": ("change", "room"),
    "walk.on": ("change", "room"),
    "walk.show": ("add", "room"),
    "watching.health": OPEN,
    "watching.metrics": OPEN,  # it asks for itself: a token, or this machine
    "watching.ready": OPEN,
}
_BY_METHOD: Mapping[str, Deed] = {
    "GET": "read",
    "POST": "add",
    "PUT": "change",
    "DELETE": "delete",
}
# kinds of the bin that are no kinds of the table of roles by the same name
_BINNED: Mapping[str, Kind] = {
    "candidate": "choice",
    "setup": "scene",
    "noise_window": "noise",
    "saved_search": "search",
}
_SAME = frozenset({"location", "room", "production", "scene", "photo", "recording", "note"})


@cache
def _of_programs() -> Mapping[str, Rule]:
    from scout.web.api.endpoints import ENDPOINTS  # which ask for what stands beside this table

    return {f"api.{one.name}": (_BY_METHOD[one.method], one.of) for one in ENDPOINTS}


def rule_of(endpoint: str, method: str) -> Rule | None:
    """The rule of an address; None: it has none."""
    both = _LOOK_AND_CHANGE.get(endpoint)
    if both is not None:
        return both[0] if method in ("GET", "HEAD", "OPTIONS") else both[1]
    return _RULES.get(endpoint) or _of_programs().get(endpoint)


def is_open(endpoint: str | None) -> bool:
    """Whether an address is open to everybody on the net."""
    return endpoint is not None and rule_of(endpoint, "GET") == OPEN


def may_go(endpoint: str, method: str, parts: Mapping[str, Any]) -> bool:
    """Whether whoever asks may go to an address."""
    rule, who = rule_of(endpoint, method), asking()
    if rule == OPEN:
        return True
    if rule is None or who is None:
        return False
    return rule == OWN or may(who.role, rule[0], _kind(rule[1], parts))


def _kind(named: str, parts: Mapping[str, Any]) -> Kind:
    """The kind of thing, where the address says which: of parts of a room, noise is apart."""
    if named == PART:
        return "noise" if parts.get("kind") == "noise" else "room"
    if named == BINNED:
        kind = str(parts.get("kind"))
        if kind in _SAME:
            return cast(Kind, kind)
        return _BINNED.get(kind) or _kind(PART, parts)
    return cast(Kind, named)


def may_send(address: str, method: str) -> bool:
    """Whether whoever asks may go where a link or a form of a page leads."""
    if not address.startswith(("/", "?", "#")) or address.startswith("//"):
        return bool(address) or may_send(request.path, method)  # elsewhere: not ours to say
    there = _there(address, method)
    return there is not None and may_go(there[0], method, there[1])


def is_deed(address: str) -> bool:
    """Whether a link leads to where something is done, not read: its words are a verb."""
    there = _there(address, "GET")
    rule = rule_of(there[0], "GET") if there is not None else None
    return not isinstance(rule, tuple) or rule[0] != "read"


def _there(address: str, method: str) -> tuple[str, Mapping[str, Any]] | None:
    """The endpoint of an address of ours, and what its path carries."""
    path = address.partition("#")[0].partition("?")[0] or request.path
    try:
        endpoint, parts = current_app.url_map.bind("localhost").match(path, method=method)
    except (HTTPException, RequestRedirect):
        return None
    return str(endpoint), parts
