"""What five people ask of the demonstration's packet in the first minute, read back from the paper.

The questions are common practice; the answers are what was typed into `demo_data/`, or by hand from
it. From the front, each answer is at most two pages turned: to a page that the front names, and
from there to one that it names or the one it faces.
"""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from pypdf import PdfReader

from scout.assess.answers import PowerAnswer
from scout.assess.choice.findings import permit_to_ask
from scout.packet.crew.front import open_points
from scout.packet.crew.running import no_calls
from scout.packet.editions import print_edition
from scout.values import Name
from scout.words import Reader, reading
from tests.packet.conftest import Demo
from tests.packet.printed import text_by_title, text_of_pages

MOST_PAGES = 20
QUESTIONS = {
    "producer": {
        "which house and room on Saturday": r"Sat 20 Jun.*Front parlour, Tannery Row House",
        "from when until when": r"\d\d:\d\d to 13:\d\d",
        "who is called when": r"08:55 Ida Marlow",  # by hand: 10:00 less 45 of set-up and 20 of carrying
        "is the house open then": r"house open 09:00 to 18:00",
        "whom to ring at the door": r"Ines Farrow.*01632 960201",
        "the address": r"9 Tannery Row",
        "where to park": r"Two bays by the chapel",
        "the way in": r"Front parlour, Back kitchen 3 no 0\.78 m",
        "what is permitted": r"the street needs a notice to the council",
        "the hospital": r"City hospital accident department",
        "the number for an emergency": r"Emergency 999 / 112",
        "what if it rains": r"Plan B: Committee room",
    },
    "camera": {
        "what must be seen": r"One person seated, head and shoulders",
        "which lens": r"The binder talks .*\b35 mm close",
        "how far from the face": r"From the face",
        "how high": r"1\.35 m",
        "what to set": r"ISO \d+, f/2\.8, 1/50 s",
        "steady under which mains": r"steady at 50 Hz",
        "white balance": r"White balance [\d,]+ K",
        "sun in the room": r"Sun patches move through the room \d",
        "windows in frame": r"W1 and W2",
        "what to put on the lens": r"stops of ND on the lens",
        "where the camera stands on the floor": r"camera 1\.35 m",
        "what the background does": r"Wall A behind reads",
    },
    "light": {
        "where the key stands": r"key \d\.\d\d m \d\.\d\d off [A-F], \d\.\d\d off [A-F]",
        "how high and how tilted": r"Light Height Tilt",
        "which socket and circuit": r"P\d, K\d",
        "how long a cable": r"\d m cable|round the walls",
        "what to bring": r"Bring (batteries for the light back|a fused splitter|a \d+ m cable)",
        "what a circuit may carry": r"May carry",
        "who opens the breakers": r"Where, and who opens",
        "how short the daylight is": r"stops short",
        "which colours spill": r"Spill from wall",
        "do not bounce": r"Do not bounce",
        "house rules about tape": r"No tape on the wallpaper",
        "hours of sun": r"Sun in room",
    },
    "sound": {
        "noise in the hours": r"34 dBA",
        "as read with": r"windows shut, mantel clock",
        "which microphone": r"lav: clean at 0\.20 m",
        "how far the boom": r"boom: usable at 0\.70 m",
        "what must be heard": r"Unhurried speech",
        "what to switch off": r"as quiet as in the reading .fridge off",
        "who has the key": r"Ask for the key.*Ines Farrow",
        "its phone": r"Ines Farrow 01632 960201",
        "noises that come back": r"bells of the church behind 09:30 to 10:00",
        "what to hang": r"Hang blankets over wall [A-D]",
        "room tone": r"60 s of room tone",
        "does it flutter": r"Flutter between walls A and C",
    },
    "carry": {
        "what is missing": r"Missing: buy, hire or borrow",
        "for a backup as well": r"Garden court \(backup\)",
        "which lights": r"Light pocket LED, on battery spare",
        "how many cables": r"2 × cable 10\sm",
        "stands": r"4 light stands",
        "blankets": r"Blankets, [1-6](?:\.\d\d?)?\sm at once",
        "how far to carry": r"140 m from the van",
        "how many steps": r"Carry everything up 42 steps",
        "the narrowest door": r"Narrowest door 0\.78 m",
        "where to unload": r"Double doors straight from the yard",
        "what is too long": r"nothing longer than 2 m",
        "boxes for out and back, a day each": r"out, and back.*Sat 20 Jun Sun 21 Jun Sat 5 Dec",
    },
}


def reached(pages: list[str]) -> set[int]:
    """Pages at most two turned from the front, which is number 1."""
    names = re.compile(r"\bpage (\d+)(?! of)\b")
    first = {int(number) for number in names.findall(pages[0])}
    second = {int(number) for page in first for number in names.findall(pages[page - 1])}
    return {1} | first | second | {page + 1 for page in first if page < len(pages)}


@pytest.mark.parametrize("reader", QUESTIONS)
def test_every_question_of_the_first_minute_is_answered(
    demo_packet: PdfReader, reader: str
) -> None:
    pages = text_of_pages(demo_packet)
    assert len(pages) <= MOST_PAGES
    near = reached(pages)
    assert len(QUESTIONS[reader]) == 12
    unanswered = {
        question: [n for n, page in enumerate(pages, 1) if re.search(answer, page)]
        for question, answer in QUESTIONS[reader].items()
        if not any(re.search(answer, pages[page - 1]) for page in near)
    }
    assert unanswered == {}


def test_nobody_is_called_after_what_they_are_called_for(demo_packet: PdfReader) -> None:
    # property: on the front, a day's calls come before its first scene
    front = text_of_pages(demo_packet)[0]
    rows = re.split(r"(?=\b(?:Sat|Sun) \d+ (?:Jun|Dec)\b)", front)[1:]
    assert len(rows) == 3
    for row in rows:
        starts = re.findall(r"(\d\d:\d\d) to", row)
        calls = re.findall(r"(\d\d:\d\d) [A-Z][a-z]+ [A-Z]", row)
        assert calls, row
        assert starts, row
        assert calls[0] < starts[0], row


def test_days_gone_by_make_way_for_those_to_come(demo: Demo) -> None:
    between = datetime(2026, 12, 4, 9, tzinfo=UTC)  # the eve of its last day
    content = replace(demo, work=replace(demo.work, now=lambda: between)).content()
    assert [day.date for day in content.coming] == [date(2026, 12, 5)]
    rooms = {str(of) for _level, _what, of, _who in open_points(content)}
    assert not any("parlour" in of or "kitchen" in of for of in rooms)
    assert not any(day.gone for day in demo.content().days)
    # by hand: in Wellington, 13 hours ahead, the fifth is over at 11:00 UTC
    for hour, gone in ((10, False), (12, True)):
        then = datetime(2026, 12, 5, hour, tzinfo=UTC)
        days = replace(demo, work=replace(demo.work, now=lambda then=then: then)).content().days
        assert [day.gone for day in days if day.date == date(2026, 12, 5)] == [gone]


def test_what_hangs_in_the_windows_is_told_beside_the_plan(demo_packet: PdfReader) -> None:
    # by hand, of demo_data: the parlour's W2 has a blind, four windows of the hall sheers; the rest none
    hung = {
        title: found[1]
        for title, text in text_by_title(demo_packet).items()
        if (found := re.search(r"Keep drawn, as all figures take it: (.*?W\d)(?! and|,)", text))
    }
    assert hung == {
        "Front parlour: where things stand": "blind in W2",
        "Main hall: where things stand": "sheer in W5, W6, W7 and W8",
    }


def test_a_persons_page_says_where_and_when_to_be(demo_packet: PdfReader) -> None:
    """by hand: demo_data's three places, their addresses, first calls and what the van meets there."""
    pages = text_by_title(demo_packet)
    places = {
        "Sat 20 Jun, call 08:55": "9 Tannery Row (invented), Norwich",
        "Sun 21 Jun, call 09:10": "Market Place (invented), Attleborough",
        "Sat 5 Dec, call 08:30": "21 Kowhai Terrace (invented), Wellington",
    }
    for title in ("Camera", "Light", "Sound", "To pack and carry"):
        for when, where in places.items():
            assert when in pages[title], (title, when)
            assert where in pages[title], (title, where)
    for fact in (
        r"Front parlour, Back kitchen: 3 steps, no lift, narrowest door 0\.78 m, 140 m from the van",
        r"Main hall: 1 step, no lift, narrowest door 1\.55 m, 20 m from the van",
        r"Studio loft: 42 steps, 60 m from the van, not recorded: lift and narrowest door",
        r"Unloading: Double doors straight from the yard",
        r"Parking: Two bays by the chapel",
        r"Parking: not recorded",
        r"Hazards: Low beam in the kitchen doorway",
        r"Hazards: ask\. Nobody has written that there are none",
        r"Ines Farrow 01632 960201",
    ):
        assert re.search(fact, pages["To pack and carry"]), fact


def test_a_place_that_nobody_is_called_to_says_why(demo: Demo) -> None:
    """by hand: the first of two places of a day has the calls; the other is moved to."""
    content = demo.content()
    day = replace(content.days[0], calls=())
    moved = replace(day, comes_from=Name("Mill"))
    told = {
        str(no_calls(content, moved)): "all who were called at Mill move on from there, set-up",
        str(no_calls(content, day)): "no calls: plan the day, then print again",
        str(
            no_calls(
                replace(content, production=content.production.model_copy(update={"crew": None})),
                day,
            )
        ): "no calls: nobody is on the crew list",
    }
    for words, begins in told.items():
        assert words.startswith(begins)


def test_a_permit_to_ask_for_and_days_gone_by_stand_on_the_front(demo: Demo) -> None:
    """by hand: on 1 June a permit of 30 days is late for the 20th, on 2 May in time."""
    content = demo.content()
    first = content.days[0]
    place = first.place.model_copy(update={"permit_lead_days": 30})
    for today, level in ((date(2026, 6, 1), "problem"), (date(2026, 5, 2), "care")):
        asked = permit_to_ask(place, first.date, today)
        days = (replace(first, place=place, permit=asked), *content.days[1:])
        rows = open_points(replace(content, days=days))
        assert [(row[0], str(row[3])) for row in rows if "ermit of" in str(row[1])] == [
            (level, "production")
        ]
    late = replace(first, place=place, permit=permit_to_ask(place, first.date, date(2026, 6, 1)))
    gone = replace(content, edition="production", days=(replace(late, gone=True),))
    with reading(Reader("metric")):
        pages = text_of_pages(PdfReader(io.BytesIO(print_edition(gone)[0])))
    assert "Every day of this packet has gone by (Sat 20 Jun): set new dates." in pages[0]
    assert "Permit takes 30 days, and Sat 20 Jun is 19 days off" in pages[1].replace("The p", "P")
    assert "Ask by Mon 1 Jun for the permit of Tannery Row House" in pages[1]


def test_a_room_that_nobody_measured_has_no_page_for_a_plan(demo: Demo) -> None:
    content = demo.content()
    day = content.days[0]
    first = day.setups[0]
    nothing = replace(first.found, placements={}, findings=(), power=PowerAnswer())
    room = first.sheet.room.model_copy(update=dict.fromkeys(("plan_m", "width_m", "length_m")))
    sheet = first.sheet.model_copy(update={"room": room})
    bare = replace(first, plan=None, found=nothing, sheet=sheet)
    pages = []
    for setup in (first, bare):
        days = (replace(day, setups=(setup,)),)
        with reading(Reader("metric")):
            body, _ = print_edition(replace(content, edition="camera", days=days))
        pages.append(text_of_pages(PdfReader(io.BytesIO(body))))
    drawn, left_out = pages
    assert len(left_out) == len(drawn) - 1
    assert any("where things stand" in page for page in drawn)
    assert not any("where things stand" in page for page in left_out)
