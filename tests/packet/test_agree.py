"""Every figure that the packet prints twice is the same figure: read back from the paper, gathered by
what it is and compared over the pages of its setup. Nothing of the content is asked but names.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field

import pytest
from pypdf import PdfReader

from scout.packet.content import PacketContent
from scout.units import Units
from scout.values import Name, said
from scout.words import Reader, reading
from tests.packet.conftest import Demo
from tests.packet.printed import text_by_title

LENGTH = r"""(?:\d[\d,.]* m\b|\d+ ft\b|\d+'(?: \d+(?: 1/2)?"| 1/2")?|\d+(?: 1/2)?"|1/2")"""
FOOT_M = 0.3048  # Source: the international foot, by definition
# a line says a way round the walls to 5 cm or to a foot, a plan says what a tape reads
LINE_STEP_M = {"metric": 0.05, "feet": FOOT_M / 2}
# in how many setups of the demonstration a figure must have been read on two pages at the least
# leads bend round what is in their way, so that in the demonstration none is too short any more: a cable
# to bring is compared wherever one is asked for
LEAST = {
    "hours": 4,
    "lens": 4,
    "camera height": 4,
    "camera to subject": 3,
    "light height": 12,
    "socket": 6,
    "cable": 2,
    "exposure": 4,
    "ND": 4,
    "white balance": 4,
    "noise": 3,
    "calls": 3,
    "steps": 1,
    "narrowest door": 2,
    "carry": 3,
}


@dataclass
class Read:
    """What was read of each figure, of which setup, on which pages."""

    found: dict[tuple[str, str], dict[str, set[str]]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(set))
    )

    def add(self, what: str, of: str, page: str, pattern: str, text: str) -> None:
        for one in re.findall(pattern, text):
            self.found[what, of][page].add(one)

    def apart(self) -> dict[tuple[str, str], dict[str, set[str]]]:
        """The figures of which two pages say different things."""
        return {
            of: dict(pages)
            for of, pages in self.found.items()
            if len({frozenset(said) for said in pages.values()}) > 1
        }

    def twice(self, what: str) -> int:
        return sum(len(pages) > 1 for (kind, _), pages in self.found.items() if kind == what)


def metres(text: str) -> float:
    """A printed length."""
    if text.endswith(" ft"):
        return float(text.removesuffix(" ft")) * FOOT_M
    if text.endswith(" m"):
        return float(text.removesuffix(" m").replace(",", ""))
    feet, inches = re.search(r"(\d+)'", text), re.search(r"""(\d+)(?: 1/2)?"$""", text)
    whole = float(inches[1]) if inches is not None and "/" not in inches[0][:3] else 0.0
    half = 0.5 if "1/2" in text else 0.0
    return (float(feet[1]) if feet else 0.0) * FOOT_M + (whole + half) * FOOT_M / 12


def rows_of(text: str, starts: list[str]) -> list[str]:
    """A table's text cut at what its rows start with."""
    places = [text.find(start) for start in starts]
    assert -1 not in places, (starts, text[:300])
    return [
        text[at : min((other for other in places if other > at), default=at + 260)] for at in places
    ]


def read(content: PacketContent, pages: dict[str, str]) -> Read:
    """Every figure of every page that belongs to a setup or a day."""
    found = Read()
    front, setups = pages[content.production.title], content.setups
    where = [
        " ".join(
            str(
                said("packet.when_where", on=one.date, hours=_hours(one), room=Name(one.room or ""))
            ).split()
        )
        for one in setups
    ]
    camera = dict(zip(where, rows_of(pages["Camera"], where), strict=True))
    sound = dict(zip(where, rows_of(pages["Sound"], where), strict=True))
    heads = [f"{one.scene.name}: {one.room}, {one.place.name}" for one in setups]
    fronts = rows_of(front, heads)
    before = [front[: front.find(head)] for head in heads]
    for k, (setup, row) in enumerate(zip(setups, where, strict=True)):
        room = setup.room or ""
        decide, plan = pages[room], pages[f"{room}: where things stand"]
        drawn, table = plan.split("Light Height Tilt")
        lit = pages["Light"].split("Each light")[1]

        def add(what: str, page: str, pattern: str, text: str, of: str = room) -> None:
            found.add(what, of, page, pattern, text)

        day = next(one for one in content.days if setup in one.setups)
        sheet = pages[str(said("packet.long_day", on=day.date))]
        clock = r"(\d\d:\d\d to \d\d:\d\d)"
        add("hours", "front", rf"{clock} $", before[k])
        add("hours", "day sheet", rf"{clock} {re.escape(setup.scene.name)}", sheet)
        for name, text in (("decide", decide), ("place", plan)):
            add("hours", name, rf"\d, {clock}", text)
        for name, text in (("camera", row), ("sound", row)):
            add("hours", name, clock, text)

        add("lens", "place", r"camera [^,]+, (\d+) mm", drawn)
        add("lens", "camera", rf"{re.escape(row)} (\d+) mm", camera[row])
        add("camera height", "place", rf"camera ({LENGTH})", drawn)
        held = r"(?: hand-held| clamped)?"
        add("camera height", "camera", rf"({LENGTH}){held} ISO", camera[row])
        add("camera to subject", "camera", rf"({LENGTH}) its mark: {LENGTH}", camera[row])
        add("camera to subject", "decide", rf"Set the camera ({LENGTH}) from the face", decide)
        apart = found.found["camera to subject", room]["camera"]
        add(
            "camera to subject",
            "place",
            "|".join(rf"({re.escape(one)}) \w+ {LENGTH}" for one in apart),
            drawn,
        )
        for light in setup.found.placements:
            of = f"{room}: {light}"
            name = re.escape(light)
            mine = re.search(rf"\b{name}(?: spare)? ({LENGTH}).*?(?: – | %|$)", table)
            assert mine is not None, of
            add("light height", "table", rf"\b{name}(?: spare)? ({LENGTH})", table, of)
            add("light height", "drawn", rf"\b{name} ({LENGTH})", drawn, of)
            add("socket", "table", r"(P\d+(?:, K\d+)?) ", mine[0], of)
            for socket in found.found["socket", of]["table"]:
                add("socket", "drawn", rf"({re.escape(socket)})(?!,)\b", drawn, of)
        sold = rf"{LENGTH}|\d+ ft"
        listed = re.findall(rf"({LENGTH}) with rise and slack, (?:bring )?({sold})", table)
        upon = rf"({sold}) (?:cable )?for ({LENGTH})"
        for lead, run in re.findall(upon, drawn):  # where a cable is too short to letter, not all
            found.found["cable", f"{room}: {run}"]["drawn"].add(str(True))
            found.found["cable", f"{room}: {run}"]["table"].add(str((run, lead) in listed))
        longer = r"[Bb]ring (?:a )?(\d+ (?:m|ft)) (?:cable|\d+ %)"
        add("cable to bring", "table", longer, table)
        add("cable to bring", "decide", longer, decide)
        lacking = re.search(rf"reaches a socket from [^:]+: its way is ({LENGTH})", decide)
        if lacking is not None:
            needed = [
                metres(one) for one in re.findall(rf"({LENGTH}) with rise and slack, bring", table)
            ]
            near = abs(metres(lacking[1]) - max(needed)) <= LINE_STEP_M[content.units] + 1e-9
            found.found["cable lacking", room]["decide"].add(str(near))
            found.found["cable lacking", room]["table"].add(str(True))

        exposure = r"(ISO [\d,]+, f/[\d.]+, 1/\d+ s)"
        add("exposure", "decide", f"ISO, stop, shutter {exposure}", decide)
        add("exposure", "camera", exposure, camera[row])
        nd = r"((?:[\d½]+ to )?[\d½]+ stops? of ND|none asked for)"
        add("ND", "decide", rf"ND {nd}", decide)
        add("ND", "camera", nd, camera[row])
        add("ND", "to do", rf"Put {nd} on the lens", decide)
        started = re.search(rf"{re.escape(room)} {exposure}, ([\d,]+ K)", lit)
        assert started is not None, room
        add("white balance", "camera", r"([\d,]+ K)", camera[row])
        add("white balance", "decide", r"White balance ([\d,]+ K)", decide)
        found.found["exposure", room]["light"].add(started[1])
        found.found["white balance", room]["light"].add(started[2])

        add("noise", "sound", r"(\d+) dBA", sound[row])
        add("noise", "front", r"(\d+) dBA", fronts[k])
        add("noise", "decide", r"(?:Quiet|only): (\d+) dBA", decide)

        also = rf"(?:, (?:{_others(content, room)}))*"  # rooms that share a way in stand in one row
        way = re.search(
            rf"{re.escape(room)}{also} (\d+|not recorded) (?:no|yes|not recorded) "
            rf"({LENGTH}|not recorded) ([\d,]+ (?:m|ft))",
            sheet,
        )
        assert way is not None, sheet
        for what, value in zip(("steps", "narrowest door", "carry"), way.groups(), strict=True):
            if value != "not recorded":
                found.found[what, room]["day sheet"].add(value)
        there = re.escape(setup.place.name)
        block = re.search(rf"{there} \w+ \d+ \w+, call .*? Hazards:", pages["To pack and carry"])
        assert block is not None, pages["To pack and carry"]
        mine_in = re.search(rf"{re.escape(room)}{also}: (.*?) Unloading:", block[0])
        assert mine_in is not None, block[0]
        add("steps", "carry", r"(\d+) steps?,", mine_in[1])
        add("steps", "carry", r"up (\d+) steps", block[0])
        add("steps", "decide", r"(\d+) steps?\.", decide)
        add("narrowest door", "carry", rf"[Nn]arrowest door ({LENGTH})", block[0])
        add("carry", "carry", r"([\d,]+ (?:m|ft)) from the van", mine_in[1])
        add("carry", "carry", r"(?:cart: |hands; )([\d,]+ (?:m|ft))", block[0])
    for day in content.days:
        sheet = pages[str(said("packet.long_day", on=day.date))]
        for call in day.calls:
            at = f"{call.at:%H:%M}"
            of = f"{day.date}: {call.name}"
            found.add("calls", of, "day sheet", rf"{re.escape(call.name)}[\w ,]*? ({at})\b", sheet)
            found.add("calls", of, "front", rf"\b({at}) [\w ,]*?{re.escape(call.name)}", front)
    return found


def _hours(setup: object) -> object:
    from scout.packet.crew.running import hours_of

    return hours_of(setup)  # type: ignore[arg-type]


def _others(content: PacketContent, room: str) -> str:
    """The other rooms of the content, any of them."""
    names = {one.room or "" for one in content.setups} - {room}
    return "|".join(re.escape(one) for one in names)


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_what_is_printed_twice_agrees(demo: Demo, units: Units) -> None:
    packet: PdfReader = demo.printed("whole", units)
    with reading(Reader(units)):
        content = demo.content(units)
        found = read(content, text_by_title(packet))
    assert found.apart() == {}
    assert {what: found.twice(what) for what in LEAST if found.twice(what) < LEAST[what]} == {}
