"""What stands round the pages, and the words for a day, a place and its hours that several use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scout.packet.content import PacketContent, PacketDay, PacketSetup
from scout.packet.setting.canvas import Running
from scout.records.kept import LocationRecord
from scout.values import Many, Name, Said, Spell, said
from scout.words import current, say
from scout.words.figures import Words, room_name


def day_name(day: PacketDay) -> Said:
    """`Sat 20 Jun, Tannery Row House`."""
    return said("packet.day_at", on=day.date, place=Name(day.place.name))


def hours_of(setup: PacketSetup) -> Said | Spell:
    """`10:00 to 14:00`, or that the hours are not set."""
    hours = setup.hours
    if hours is None:
        return said("packet.no_hours")
    return Spell(*hours)


def around(setup: PacketSetup) -> Words:
    """When a setup is built and when it is struck, where the days' plan says so."""
    if setup.set_up_from is None or setup.strike_until is None:
        return ""
    begin, end = setup.set_up_from, setup.strike_until
    return said("packet.around", set_up=begin, strike=end)


def room_of(setup: PacketSetup) -> Name | Said:
    """What its room is called."""
    return room_name(setup.room)


def setting_of(setup: PacketSetup) -> Name | Said:
    """What its room is called, with its scene where another is shot there too."""
    room = room_of(setup)
    if setup.in_room == 1:
        return room
    return said("packet.room_for", room=room, scene=Name(setup.scene.name))


def settings_of(setups: Sequence[PacketSetup]) -> Many:
    """The rooms of setups; with its scene where it is not all that are shot there."""
    of_rooms: dict[tuple[str, Name | Said], dict[str, PacketSetup]] = {}
    for setup in setups:
        of_rooms.setdefault((setup.place.name, room_of(setup)), {})[setup.key] = setup
    named: dict[Name | Said, None] = {}
    for (_, room), here in of_rooms.items():
        every = all(one.in_room == len(here) for one in here.values())
        named |= dict.fromkeys([room] if every else map(setting_of, here.values()))
    return Many(tuple(named), "list")


def no_calls(content: PacketContent, day: PacketDay) -> Said:
    """Why nobody is called to a place on a day, and what to do about it."""
    if day.comes_from is not None:
        set_up = min((one.set_up_from for one in day.setups if one.set_up_from), default=None)
        return said("packet.moves_on", place=day.comes_from, set_up=set_up)
    if not content.production.crew:
        return said("packet.nobody_to_call")
    return said("packet.no_calls")


def door_of(place: LocationRecord) -> tuple[str, str] | None:
    """The first contact of a place with a phone: name and number."""
    for one in place.contacts or ():
        if one.phone:
            return one.name, one.phone
    return None


def to_ring(content: PacketContent) -> tuple[Said, str] | None:
    """Whom the crew rings, as what and by which number: a producer, else the first of the list with
    a phone, who is not called one.
    """
    reachable = [one for one in content.production.crew or () if one.phone]
    running_it = [one for one in reachable if "produc" in (one.role or "").casefold()]
    found = next(iter([*running_it, *reachable]), None)
    if found is None or found.phone is None:
        return None
    return said("packet.producer" if running_it else "packet.crew"), found.phone


def runs_on(day: PacketDay, left: str = "", right: str = "") -> Running:
    """Round a page of one day at one place."""
    return Running(
        left=left or str(day_name(day)),
        right=right,
        place=str(day_name(day)),
        door=door_of(day.place),
        emergency=" / ".join(day.emergency) or None,
    )


def runs_through(content: PacketContent, right: str = "") -> Running:
    """Round a page of all days: the numbers that hold on each of them."""
    numbers = {day.emergency for day in content.days}
    doors = {door_of(day.place) for day in content.days}
    shared = numbers.pop() if len(numbers) == 1 else ()
    return Running(
        left=content.production.title,
        right=right,
        place=content.production.title,
        door=doors.pop() if len(doors) == 1 else None,
        emergency=" / ".join(shared) or _by_country(content),
    )


def _by_country(content: PacketContent) -> str | None:
    """`999 (GB), 111 (NZ)` where the days are in several countries."""
    by_country = {day.country: day.emergency for day in content.days if day.emergency}
    parts = [f"{' / '.join(held)} ({country})" for country, held in by_country.items()]
    return ", ".join(parts) or None


def said_rounded(words: Words) -> str:
    """A text as lines have it: figures to what can be acted on."""
    return words if isinstance(words, str) else say(words, "", replace(current(), rounded=True))
