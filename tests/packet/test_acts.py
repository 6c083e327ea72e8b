"""What the findings ask people to do, read back from the page of whoever does it."""

from __future__ import annotations

import re

from pypdf import PdfReader

from scout.assess.answers.acts import ACTS
from scout.assess.fit.light.kinds import KeyTurnedAway, KeyUnknown
from scout.packet.asked import USED, acts, missing, used_up
from scout.packet.crew import front
from scout.packet.crew.front import DOES
from scout.packet.crew.running import said_rounded
from scout.values import Name, Word, said
from scout.words import line
from tests.packet.conftest import Demo
from tests.packet.printed import text_by_title

PAGES = {
    "camera": "Camera",
    "light": "Light",
    "sound": "Sound",
    "carry": "To pack and carry",
    "production": "Production",
}
# nothing but hands, what is on the set already, or what the act itself says to bring
NEEDS_NOTHING = {
    "swap.light",
    "ask.hours",
    "judge.others",
    "ask.permit",
    "list.kit",
    "list.facts",
    "propose.room",
    "free.circuit",
    "light.key",
    "leave.light",
    "practical.off",
    "switch.off",
    "have.conditions",
    "wait.noise",
    "camera.place",
    "camera.door",
    "aim.between",
    "camera.iso",
    "camera.balance",
    "camera.shutter",
    "move.back",
    "move.subject",
    "move.mic",
    "operate.beside",
    "turn.subject",
}


def test_every_act_offered_stands_once_on_the_page_of_who_does_it(
    demo: Demo, demo_packet: PdfReader
) -> None:
    # property: what is found and not handed to anybody is not done
    content, pages = demo.content(), text_by_title(demo_packet)
    absent = {said_rounded(one.what) for one in missing(content)}
    seen = set()
    rooms = "|".join({re.escape(setup.room or "") for setup in content.setups})
    whens = {one_line(act.when) for _, act in acts(content.setups)}
    for setup, act in acts(content.setups):
        page = pages[PAGES[act.who]]
        seen.add(act.code.split(".")[0])
        if act.who == "carry" and act.code.startswith("bring."):
            things = [str(one) for one in act.values if isinstance(one[1], Name)]
            listed = [row for row in absent if all(thing in row for thing in things)]
            assert any(page.count(row) == 1 for row in listed), str(act)
            continue
        text, when = one_line(act), one_line(act.when)
        told = (
            rf"{re.escape(text)},? ({re.escape(when)} )?\(?((?:{rooms})(?:(?:,| and) (?:{rooms}))*)"
        )
        rows = [*re.finditer(told, page)]
        assert len(rows) == 1, (act.who, text, len(rows))
        assert str(Name(setup.room or "")) in rows[0][2], (text, rows)
        # when: beside it, or beside the first of those that are due together
        before = max(whens, key=lambda one: page.rfind(one, 0, rows[0].start()))
        assert rows[0][1] or before == when, (text, when, before)
    # the demonstration asks for white, gels, filters, blankets, cables: else the test says little
    assert {"hang", "lay", "gel", "camera", "bring", "measure", "have"} <= seen


def one_line(words: object) -> str:
    return " ".join(str(words).split())


def test_what_an_act_uses_up_is_packed_for_its_rooms(demo: Demo, demo_packet: PdfReader) -> None:
    content = demo.content()
    page = text_by_title(demo_packet)[PAGES["carry"]]
    needed = {
        (thing, str(Name(setup.room or "")))
        for setup, act in acts(content.setups)
        for thing in USED.get(act.code, ())
    }
    assert needed
    packed = {one.thing: one for one in used_up(content.setups)}
    for thing, room in needed:
        assert room in {str(Name(setup.room or "")) for setup in packed[thing].setups}
        assert re.search(rf"{re.escape(str(Word('to_pack', thing)))}.{{0,90}}{room}", page, re.I), (
            thing,
            room,
        )


def test_of_every_act_it_is_said_what_to_pack_for_it() -> None:
    # by hand: an act brings something, buys certainty, uses something up, or needs nothing
    told = {code for code in ACTS if code.startswith(("bring.", "measure"))}
    assert set(USED) <= set(ACTS)
    assert told | set(USED) | NEEDS_NOTHING == set(ACTS)
    assert {kind.who for kind in ACTS.values()} == set(PAGES) == set(DOES.values())


def test_a_red_line_never_stands_without_what_to_do() -> None:
    # property: a problem that no act mends says so and who has to think; what is not known does not
    turned = KeyTurnedAway(level="problem", about=(Name("key"),))
    told, who = front._to_do(turned)
    assert told == f"{line(turned)}. {said('page.no_act')}"
    assert who == Word("role", "production")
    dark = KeyUnknown(level="unknown", because=said("fit.no_exposure"))
    assert front._to_do(dark)[0] == line(dark)
