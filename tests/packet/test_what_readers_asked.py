"""What readers of printed editions missed or stumbled over, each once; expected words by hand from
what stands in the content.
"""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import date, time
from typing import Any

import pytest
from reportlab.platypus import Frame, Spacer

from scout.assess.answers import (
    ExposureAnswer,
    Finding,
    Placement,
    PlanLight,
    RoomAssessment,
    SoundAnswer,
    act,
)
from scout.assess.choice.findings import permit_to_ask
from scout.drawing.lettering import SCREEN_WIDE_MM
from scout.packet.asked import (
    beside_plan,
    cables_lent,
    decisive,
    missing,
    stands_lacking,
    tasks,
    untold,
)
from scout.packet.blocks import Desk
from scout.packet.content import (
    CrewNote,
    PacketBackup,
    PacketCall,
    PacketChange,
    PacketContent,
    PacketReserve,
)
from scout.packet.crew.carrying import packed
from scout.packet.crew.contact import contact_sheet
from scout.packet.crew.lamps import NONE, lamps
from scout.packet.crew.parts import Pictures, note_lines
from scout.packet.crew.room import exposure, reserves_head
from scout.packet.editions import print_edition
from scout.packet.names import EditionName
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.shape import TypeCase
from scout.packet.setting.table import Cell
from scout.packet.setting.text import Typesetter
from scout.pages.medium import Medium
from scout.pages.packet.printing import gist
from scout.records.kept import CandidateState, ProductionRecord
from scout.records.sheet import Camera, Kit, Marks, RoomSheet
from scout.usecases.difference import consequences
from scout.values import Figure, Many, Name, Spell, Word, names, said
from scout.words.figures import act_message
from tests.packet.invented import assessment, at, crew_content, judged, location, photo
from tests.packet.printed import text_by_title, text_of_pages
from tests.packet.test_build import read


def with_setups(count: int, **setup: Any) -> PacketContent:
    """A day with several scenes alike."""
    made = crew_content()
    (day,) = made.days
    (one,) = day.setups
    setups = tuple(replace(one, key=f"setup-{k}", photos=(), **setup) for k in range(count))
    return replace(made, days=(replace(day, setups=setups),))


def without_sounds() -> RoomSheet:
    """The invented room with no noise read and no furniture."""
    (one,) = crew_content().setups
    room = one.sheet.room.model_copy(update={"noise": None, "furniture": None})
    return one.sheet.model_copy(update={"room": room})


def test_many_changes_leave_the_crew_on_the_front() -> None:
    changes = tuple(PacketChange(f"Room {k}", Name("noise measured again")) for k in range(60))
    reader, _, _ = read(crew_content(changes=changes, edition="carry"))
    front = text_of_pages(reader)[0]
    assert "director of photography" in front  # the crew's list
    shown = front.count("noise measured again")
    assert 3 <= shown <= 12
    assert f"and {60 - shown} further changes" in front


def test_pages_that_are_set_anew_are_not_called_nothing() -> None:
    known = crew_content(changes=(), known_pages=("a", "b"), swap_since=1, edition="carry")
    front = text_of_pages(read(known)[0])[0]
    assert "but pages are laid out anew. Of revision 1 take out" in front
    assert "Nothing." not in front
    _, result = print_edition(known)
    same = replace(known, known_pages=result.page_hashes)
    assert "No page differs from revision 1." in text_of_pages(read(same)[0])[0]


def reserve(place: Any) -> PacketReserve:
    content = crew_content()
    return PacketReserve(
        scene="Interview with the ferryman",
        state="reserve",
        reason=None,
        place=place,
        sheet=content.days[0].setups[0].sheet,
        found=assessment(),
    )


def backed_up(place: Any) -> PacketContent:
    """A day with a backup."""
    made = crew_content(edition="carry")
    backups = (PacketBackup("Long parlour", place),)
    return replace(made, days=(replace(made.days[0], backups=backups),))


def test_a_backup_elsewhere_has_its_way_and_whom_to_ring() -> None:
    # by hand: 0.1 degree of latitude is 11.1 km (111.2 km a degree, 52 degrees north)
    far = location(name="Mill", address="2 Mill Lane", latitude_deg=52.3053)
    pages = " ".join(text_of_pages(read(backed_up(far))[0]))
    assert (
        "Plan B: Long parlour, Mill, 2 Mill Lane; 11.1 km off as the crow flies; Mo Farrell"
        in pages
    )
    assert "+44 20 7946 0002" in pages.split("as the crow flies")[1][:60]
    here = " ".join(text_of_pages(read(backed_up(location()))[0]))
    assert "Plan B: Long parlour, Weir House" in here
    assert "crow flies" not in here


def test_each_trade_reads_the_call_of_its_own_people() -> None:
    """by hand: a producer alone at 08:00; of the light two hours, of the carry nobody by name."""
    crew = (
        ("Nadia Falk", "Producer", at(8)),
        ("Tom Reyes", "Camera", at(8, 30)),
        ("Bo Lind", "best boy", at(8, 30)),
        ("Asha Bell", "Gaffer, lights", at(8, 40)),
        ("Piotr Lind", "Sound", at(8, 40)),
    )
    calls = tuple(PacketCall(name, when, (), role) for name, role, when in crew)
    content = crew_content(place=location(parking="In the yard."))
    content = replace(content, days=(replace(content.days[0], calls=calls),))
    pages = {key: " ".join(one.split()) for key, one in text_by_title(read(content)[0]).items()}
    everybody = "08:00 Nadia Falk; 08:30 Tom Reyes, Bo Lind; 08:40 Asha Bell, Piotr Lind"
    for title, called in {
        "Camera": "call 08:30: Weir House",
        "Light": "call 08:30 Bo Lind; 08:40 Asha Bell: Weir House",
        "Sound": "call 08:40: Weir House",
        "To pack and carry": f"call {everybody}",
    }.items():
        assert called in pages[title], title
    for title in ("To pack and carry", "Sunday 21 June 2026"):
        assert "ask its hours; first arrival 08:00" in pages[title], title


@pytest.mark.parametrize(
    ("of_place", "words"),
    [  # by hand: one row, whatever is known
        ({}, "Permit not recorded House rules"),
        ({"permit_granted": True}, "Permit granted House rules"),
        ({"permit_granted": True, "permits": "No 7"}, "Permit granted No 7 House rules"),
        ({"permits": "No 7"}, "Permit No 7 House rules"),
        (
            {"permits": "No 7", "permit_lead_days": 10},
            "Permit The permit takes 10 days Ask by Thu 11 Jun for the permit of Weir House No 7",
        ),
    ],
)
def test_a_day_says_one_thing_of_its_permit(of_place: dict[str, Any], words: str) -> None:
    place = location(**of_place)
    content = crew_content(place=place, edition="carry")
    (day,) = content.days
    asked = permit_to_ask(place, day.date, date(2026, 5, 1))
    content = replace(content, days=(replace(day, permit=asked),))
    page = " ".join(text_by_title(read(content)[0])["Sunday 21 June 2026"].split())
    assert words in page
    assert "Permits" not in page


@pytest.mark.parametrize(
    ("edition", "first", "rest"),
    [
        ("whole", "the tap drips", "on the room pages"),
        ("camera", "the wide", "in the whole packet"),
        ("light+sound", "the key", "in the whole packet"),
        ("production", "the tap drips", "on the producer's page"),
    ],
)
def test_a_front_begins_with_its_readers_own_and_says_where_the_rest_stands(
    edition: EditionName, first: str, rest: str
) -> None:
    """by hand: nine red lines with an act each, the last two of the light and the camera."""
    switch = replace(act("switch.off", noise=Name("tap")), who="production")
    dripping = tuple(judged("problem", "sound", f"the tap drips {k}", switch) for k in range(7))
    dim = judged("problem", "light", "the key is dim", replace(switch, who="light"))
    wide = judged("problem", "space", "the wide does not fit", replace(switch, who="camera"))
    found = replace(assessment(), findings=(*dripping, dim, wide))
    content = replace(with_setups(1, found=found), edition=edition)
    (page,) = text_of_pages(read(content)[0])[:1]
    open_lines = page.split("Still open")[1]
    named = [one for one in ("the tap drips", "the key", "the wide") if one in open_lines]
    assert min(named, key=open_lines.index) == first
    assert re.search(rf"\d more stand {rest}", page), page


def test_what_is_off_how_it_was_read_and_what_the_crew_noted_are_three_things() -> None:
    # by hand: a clock that stood still while the noise was read is no act, and a note is neither
    heard = replace(assessment(), sound=SoundAnswer(laeq_db=34.0, conditions=Name("clock stopped")))
    unread = replace(assessment(), sound=SoundAnswer())
    fan = act("switch.off", noise=Name("fan"))
    acted = replace(heard, findings=(judged("care", "sound", "fan on", fan),))
    notes = (CrewNote("Double doors D1 are the fire exit."),)
    for found, off, noted in (
        (heard, "no source of noise is recorded: listen", False),
        (acted, "Have fan switched off, and on again after", False),
        (unread, "no source of noise is recorded: listen", True),
    ):
        content = with_setups(1, found=found, notes=notes, sheet=without_sounds())
        content = replace(content, edition="sound")
        page = text_by_title(read(content)[0])["Sound"]
        table = page.split("Switch off, and who lets us")[1].split("Noted where")[0]
        assert off in table
        assert "clock stopped" not in table
        assert "fire exit" not in table
        assert ("clock stopped" in page) is not noted
        assert ("fire exit" in page) is noted
        assert "Mo Farrell" in table


@pytest.mark.parametrize(
    ("note", "asked"),
    [
        ("Heating fan is on a key: ask for it off.", "fan, heating"),
        ("The mantel clock can be stopped", "clock"),
        ("fantastic clockwork, a lifted lid", None),  # no part of a word is a thing
        ("the fridge hums; have fan off too", "fridge"),
    ],
)
def test_what_a_note_names_is_asked_about_and_is_not_called_nothing(
    note: str, asked: str | None
) -> None:
    fan = act("switch.off", noise=Name("fan"))
    acts = (fan,) if "too" in note else ()
    found = replace(assessment(), findings=(judged("care", "sound", "loud", *acts),))
    content = with_setups(1, found=found, notes=(CrewNote(note),), sheet=without_sounds())
    pages = text_by_title(read(replace(content, edition="whole"))[0])
    room = next(text for title, text in pages.items() if "Must be seen" in text)
    table = pages["Sound"].split("Switch off, and who lets us")[1].split("Noted where")[0]
    for text in (table, room):
        assert (f"Named in notes or room: {asked}. Ask Mo Farrell" in text) is (asked is not None)
        assert ("no source of noise" in text) is (asked is None)
    assert ("Have fan switched off" in table) is bool(acts)


def with_kit(content: PacketContent, kit: dict[str, Any]) -> PacketContent:
    made = content.production.model_copy(update={"kit": Kit.read(kit)})
    return replace(content, production=made)


def lamp(*at_m: float) -> Placement:
    return Placement("lamp", at_m, None, "pinned")  # type: ignore[arg-type]


def rows_packed(kit: dict[str, Any], lights: int) -> list[str]:
    placed = {f"light {k}": lamp(0.0, 0.0, 2.0) for k in range(lights)}
    content = with_kit(with_setups(1, found=replace(assessment(), placements=placed)), kit)
    return [str(row.what) for row in packed(content)]


def test_a_thing_is_packed_once_and_a_note_is_no_thing() -> None:
    # by hand: the stands of the list are the stands of the lights
    kit = {
        "stands": [{"id": "light stand", "count": 2}],
        "mics": [{"id": "on-camera mic", "kind": "camera"}, {"id": "M1", "kind": "omni_clip"}],
        "chargers": [{"id": "battery charger", "watts": 60}],
        "notes": "Generic figures to start from.",
    }
    rows = rows_packed(kit, 2)
    assert [row for row in rows if "stand" in row] == ["2 × light stand"]
    assert "on-camera mic" in rows
    assert "M1, lav (clip-on)" in rows
    assert "battery charger" in rows
    assert not [row for row in rows if "Generic" in row]
    assert [row for row in rows_packed({}, 2) if "stand" in row] == ["2 light stands"]


@pytest.mark.parametrize(
    ("listed", "lights", "lacking"),
    [
        ([{"id": "stand", "count": 2}], 2, 0),
        ([{"id": "stand", "count": 2}], 3, 1),
        ([{"id": "stand"}], 3, 0),  # nobody counted them
        ([], 3, 0),
    ],
)
def test_stands_that_the_list_lacks_are_missing(
    listed: list[dict[str, Any]], lights: int, lacking: int
) -> None:
    placed = {f"light {k}": lamp(0.0, 0.0, 2.0) for k in range(lights)}
    content = with_setups(1, found=replace(assessment(), placements=placed))
    assert stands_lacking(with_kit(content, {"stands": listed})) == lacking


@pytest.mark.parametrize(("state", "counts"), [("reserve", True), ("proposed", False)])
def test_backups_and_what_is_missing_go_by_one_rule(state: CandidateState, counts: bool) -> None:
    bring = act("bring.stronger", part=Word("part", "key"), short=Figure(1.0, "stops"))
    dim = replace(assessment(), findings=(judged("problem", "light", "dim", bring),))
    other = replace(reserve(location()), state=state, found=dim)
    content = crew_content(reserves=(other,))
    told = [str(room) for one in missing(content) for room in one.rooms]
    assert ("Long parlour (backup)" in told) is counts
    assert (reserves_head(content) == "Backups") is counts


def test_where_a_light_stands_is_taped_from_two_marks() -> None:
    # by hand: 3-4-5 from the subject, 3 from the camera, which looks along +y; -x is its left
    marks = Marks.read({"subject": [0.0, 4.0, 1.2], "camera": [0.0, 0.0, 1.2]})
    (one,) = with_setups(1).setups
    stands = replace(one.found.fit, camera_m=(0.0, 0.0, 1.2))
    lit = replace(one.found, fit=stands, placements={"key": lamp(-3.0, 0.0, 2.4)})
    sheet = one.sheet.model_copy(update={"marks": marks})
    (place,) = lamps(replace(one, sheet=sheet, found=lit))
    assert (str(place.side), str(place.height)) == ("left", "2.40\u00a0m")
    assert str(place.stand).replace("\u00a0", " ") == "5.00 m from subject, 3.00 m from camera"
    bare = one.sheet.model_copy(update={"marks": None})
    unmarked = replace(lit, fit=replace(stands, camera_m=None))
    assert lamps(replace(one, sheet=bare, found=unmarked))[0].stand == NONE


def test_every_act_of_the_light_stands_with_its_room() -> None:
    # property: beside a line, or under "Also to do"; what only a bounce asks for is nobody's
    gel = act("gel.practical", practical=Name("lamp"))
    flag = act("flag.black", away=Figure(1.0, "m"), lights=names(["key"]))
    found = replace(
        assessment(),
        findings=(
            judged("care", "colour", "the shadow is green", gel, flag),
            *(judged("problem", "sun", f"line {k}") for k in range(9)),
        ),
    )
    (setup,) = with_setups(1, found=found).setups
    told = decisive(setup.found.findings)
    beside = {act_message(one.acts[0]) for one in told if one.acts}
    assert beside | {act_message(one) for one in untold(setup, told)} == {
        one.message for one in tasks([setup], "light")
    }
    assert {one.act.code for one in beside_plan(setup)} == {"gel.practical", "flag.black"}


@pytest.mark.parametrize("proposed", [True, False])
def test_hours_that_nobody_planned_are_marked(proposed: bool) -> None:
    within = Spell(time(9, 30), time(12, 30)) if proposed else None
    content = replace(with_setups(1, proposed=proposed, within=within), edition="carry")
    front, day = text_of_pages(read(content)[0])[:2]
    assert ("proposed: not planned yet" in front) is proposed
    assert ("May be shot 09:30 to 12:30" in front) is proposed
    assert ("Not planned yet: hours and calls are proposed." in day) is proposed
    # somebody without a phone is not "sound: not recorded"
    assert "no phone recorded" in front


def test_photos_that_no_page_shows_stand_on_the_contact_sheet() -> None:
    # by hand: a room's own page has two of its photos, so of five three are left
    content = crew_content()
    (day,) = content.days
    (one,) = day.setups
    shots = tuple(photo(f"{k}.jpg", f"view {k}") for k in range(5))
    content = replace(content, days=(replace(day, setups=(replace(one, photos=shots),)),))
    reader = read(content)[0]
    pages = text_by_title(reader)
    assert [f"view {k}" in pages["Long parlour"] for k in range(5)] == [True] * 2 + [False] * 3
    sheet = pages["Photos"]
    assert all(f"Long parlour: view {k}" in sheet for k in (2, 3, 4))
    assert "view 1" not in sheet
    few = replace(content, days=(replace(day, setups=(replace(one, photos=shots[:2]),)),))
    assert "Photos" not in text_by_title(read(few)[0])


@pytest.mark.parametrize(("left", "abreast"), [(1, 2), (4, 2), (9, 3), (60, 4)])
def test_few_photos_are_larger(left: int, abreast: int) -> None:
    # by hand: on a sheet of A4 a column of 748 points holds 3 rows of two (187 points high and a
    # caption), 4 of three (122 points)
    content = crew_content()
    (day,) = content.days
    (one,) = day.setups
    shots = (photo(),) * (2 + left)
    content = replace(content, days=(replace(day, setups=(replace(one, photos=shots),)),))
    desk = Desk(Typesetter(TypeCase(())), 510.0, 748.0)
    rows = [
        row for row in contact_sheet(desk, content, shown_already=True) if isinstance(row, Pictures)
    ]
    assert {row.abreast for row in rows} == {abreast}
    assert sum(len(row.pictures) for row in rows) == left


@pytest.mark.parametrize("left", [0.0, 2.0, 4.0, 20.0, 60.0])
def test_notes_never_turn_a_page_that_is_full(left: float) -> None:
    # by hand: a frame of 700 points without padding, of which so many are left
    desk = Desk(Typesetter(TypeCase()), 500.0, 700.0)
    frame = Frame(0, 0, 500.0, 700.0, 0, 0, 0, 0)
    canvas = PacketCanvas(io.BytesIO(), case=desk.setter.case, finish=lambda *_: None)
    assert frame.add(Spacer(1, 700.0 - left), canvas)
    (notes,) = note_lines(desk)
    assert frame.add(notes, canvas)
    assert (notes.count > 0) == (left > 40)


def test_who_lights_reads_what_the_camera_begins_with() -> None:
    kit = {"camera": {"iso": 800, "f_number": 4.0, "shutter_s": 0.02}}
    content = replace(with_setups(1), edition="light")
    (day,) = content.days
    (one,) = day.setups
    found = replace(one.found, findings=(judged("care", "light", "dim"),))
    sheet = one.sheet.model_copy(update={"kit": Kit.read(kit)})
    setup = replace(one, sheet=sheet, found=found)
    page = text_by_title(read(replace(content, days=(replace(day, setups=(setup,)),)))[0])["Light"]
    assert "ISO 800, f/4, 1/50 s" in page


def lead(metres: float, *lights: str) -> Finding:
    wanted = act("bring.lead", lights=names(list(lights)), lead=Figure(metres, "m"))
    return judged("problem", "power", "no cable reaches", wanted)


def test_cables_that_are_missing_are_added_up() -> None:
    # by hand: two of 20 m at once in one room and one of 10 m; the other room's one of 20 m is
    # among those two, since cables go on from room to room
    # 18.3 m of way is a cable of 20 m
    first = replace(assessment(), findings=(lead(18.3, "key"), lead(20, "fill"), lead(10, "back")))
    second = replace(assessment(), findings=(lead(20, "key"),))
    content = with_setups(2)
    (day,) = content.days
    setups = (replace(day.setups[0], found=first), replace(day.setups[1], found=second))
    assert cables_lent(setups) == {"10\u00a0m": 1, "20\u00a0m": 2}
    content = replace(content, days=(replace(day, setups=setups),), edition="carry")
    page = text_by_title(read(content)[0])["To pack and carry"]
    assert "In all, used again from room to room: 1 × cable 10 m, 2 × cable 20 m" in page


def test_a_light_persons_sheet_is_one_page() -> None:
    # by hand: 4 scenes with 20 lines each are 80 lines, which do not stand on a page of about 60
    many = tuple(judged("care", "light", f"line {k} of light") for k in range(20))
    content = replace(with_setups(4, found=replace(assessment(), findings=many)), edition="light")
    titles = [page.split(" rev ")[0] for page in text_of_pages(read(content)[0])]
    assert sum("Before a lamp" in one or "line 0 of light" in one for one in titles) <= 2
    assert len(titles) <= 8  # front, day, four plans, light, signs


def test_what_a_circuit_may_carry_stands_with_the_plan() -> None:
    pages = text_of_pages(read(replace(with_setups(1), edition="light"))[0])
    (plan,) = (page for page in pages if "where things stand" in page and "May carry" in page)
    assert "May carry: K1 12.8 A, planned 2.0 A" in plan


def test_the_same_in_other_words_is_no_change() -> None:
    was = {"level": "care", "gist": "far 3.2 m", "metric": "boom hangs clear", "feet": "boom"}
    now = {**was, "metric": "Out of frame: boom"}
    assert consequences({"Loft": {"a": was}}, {"Loft": {"a": now}}, "metric") == []
    moved = {**now, "gist": "far 3.4 m"}
    assert len(consequences({"Loft": {"a": was}}, {"Loft": {"a": moved}}, "metric")) == 1
    worse = {**now, "level": "problem"}
    assert len(consequences({"Loft": {"a": was}}, {"Loft": {"a": worse}}, "metric")) == 1
    before = {key: one for key, one in was.items() if key != "gist"}  # kept by an older version
    assert len(consequences({"Loft": {"a": before}}, {"Loft": {"a": now}}, "metric")) == 1


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (Figure(3.2001, "m"), Figure(3.2004, "m"), True),  # the fourth digit is nothing to act on
        (Figure(3.2, "m"), Figure(3.3, "m"), False),
        (Figure(3.2, "m"), Figure(3.2, "s"), False),
        (Name("key"), Name("fill"), False),
        (names(["key", "fill"]), names(["key"]), False),
        (date(2026, 6, 21), date(2026, 6, 22), False),
        (time(10), time(10), True),
    ],
)
def test_what_a_finding_says(one: Any, other: Any, same: bool) -> None:
    assert (gist(one) == gist(other)) is same


def test_no_letter_of_a_printed_drawing_is_under_8_points() -> None:
    # by hand: drawings set most of their letters at 0.9 of their size; 8 points are 2.82 mm
    assert Medium(for_print=True).letters["text_mm"] * 0.9 >= 2.82


def test_no_letter_of_a_drawing_is_under_12_px_on_a_phone() -> None:
    # by hand: a phone of 390 px leaves 358 between its margins; 0.9 of 4.2 mm of 112 are 12.08 px
    assert Medium().letters["text_mm"] * 0.9 * (390 - 2 * 16) / SCREEN_WIDE_MM >= 12


def test_a_finding_says_its_own_fields_alone() -> None:
    plain, acted = lead(20, "key"), judged("good", "power", "no cable reaches")
    assert gist(plain) == gist(acted)
    assert gist(plain) != gist(judged("good", "power", "a cable reaches"))


def test_what_each_light_is_packed_for() -> None:
    # property: the setups say it. A panel is the key in one and stands by in the other; one pinned
    # beyond the three is no spare, one that nobody pinned is; a light called by its use says it
    listed = Kit.read({"lights": [{"id": name} for name in ("panel", "fill", "wand", "LED")]})
    content = with_setups(2)
    (day,) = content.days
    panel, fill = (PlanLight(light=name, at_m=(1.2, 1.6, 2.4)) for name in ("panel", "fill"))

    def used(plan: dict[str, PlanLight], *pinned: str) -> RoomAssessment:
        at = {
            name: Placement(name, (1, 1, 2), None, "pinned" if name in pinned else "planned")
            for name in ("panel", "fill", "wand", "LED")
        }
        fit = replace(assessment().fit, plan=plan)
        return replace(assessment(), fit=fit, placements=at)

    setups = (
        replace(day.setups[0], found=used({"key": panel, "fill": fill}, "wand")),
        replace(day.setups[1], found=used({"fill": fill}, "wand")),
    )
    production = content.production.model_copy(update={"kit": listed})
    content = replace(content, production=production, days=(replace(day, setups=setups),))
    told = {str(row.what): str(row.more) for row in packed(content)}
    lights = {what: more for what, more in told.items() if what.startswith("Light ")}
    assert lights == {
        "Light panel": "key light",
        "Light fill": "",
        "Light wand": "another light",
        "Light LED": "spare",
    }
    assert lamps(setups[0])[3].role == "spare"
    setups[0].found.placements.clear()  # no plan there: nobody can say that it is a spare
    assert {str(row.more) for row in packed(content) if str(row.what) == "Light LED"} == {""}


def test_leads_that_come_with_a_splitter_are_added_up() -> None:
    along = Many((said("power.leads_for", lead=Figure(5.4, "m"), lights=names(["fill"])),), "list")
    splitter = act("bring.splitter", circuit=Name("K1"), leads=along)
    found = replace(assessment(), findings=(judged("care", "power", "no socket", splitter),))
    assert cables_lent(with_setups(1, found=found).setups) == {"10\u00a0m": 1}
    assert "and a 10\u00a0m cable for fill" in str(splitter)


def test_the_meter_at_the_face_says_what_to_do() -> None:
    def metered(lit_lux: float | None, needed_lux: float | None = 100.0) -> str:
        exposed = ExposureAnswer(lit_lux=lit_lux, needed_lux=needed_lux)
        found = replace(assessment(), fit=replace(assessment().fit, exposure=exposed))
        (setup,) = with_setups(1, found=found).setups
        cell = dict(exposure(setup, Camera()))["Meter at the face"]
        words = f"{cell.text}; {cell.more}" if isinstance(cell, Cell) else str(cell)
        return words.replace("\u00a0", " ")

    # by hand: 200 lux are a stop over 100, 50 a stop under, 110 an eighth of one
    assert metered(200.0) == (
        "100 lux for these settings; light as planned: 200 lux, 1 stop over; close down, dim or ND"
    )
    assert metered(50.0).endswith("50 lux, 1 stop under; open up or add light")
    assert metered(110.0) == "100 lux for these settings; light as planned: 110 lux"
    assert metered(None) == "100 lux for these settings; "


def test_quiet_is_asked_of_crew_and_owner_by_what_was_read_and_how_loud_it_was() -> None:
    # by hand: "Have fridge off, traffic" asked somebody to have the traffic off
    values = {"conditions": Name("fridge off, traffic"), "level": Figure(34.0, "dBA")}
    quiet = act("have.conditions", **values)
    found = replace(assessment(), findings=(judged("care", "sound", "fridge on", quiet),))
    crew, owner = (
        " ".join(text_of_pages(read(replace(with_setups(1, found=found), edition=edition))[0]))
        for edition in ("sound", "owner")
    )
    assert "Make it as quiet as in the reading “fridge off, traffic” (34 dBA)" in crew
    assert (
        "Please help us have it as quiet (34 dBA) as when we noted “fridge off, traffic”" in owner
    )
    for text in (crew, owner):
        assert "Have fridge" not in text


def test_parking_hours_stand_where_the_van_is_sent_and_are_held_against_the_call() -> None:
    # by hand: bays free from 09:00 to 17:00 and a call at 08:00 were told to production alone
    hours = {"week": [{"first": "mon", "last": "sun", "opens": "09:00", "closes": "17:00"}]}
    late = said("day.call.no_parking", called=time(8), place=Name("W"), at=time(9), parking=None)
    over = said(
        "day.call.parking_ends", ends=time(17, 30), place=Name("W"), at=time(17), parking=None
    )
    for heeds, told in (
        ((), "free 09:00 to 17:00"),
        ((late,), "free 09:00 to 17:00; not free for those called at 08:00"),
        ((over,), "free 09:00 to 17:00; not free to the end of the strike, 17:30"),
    ):
        calls = tuple(
            PacketCall(f"Jo {n}", at(8 + n), heeds if n == 0 else (), "van") for n in range(2)
        )
        content = crew_content(place=location(parking="Two bays.", parking_hours=hours))
        content = replace(content, days=(replace(content.days[0], calls=calls),))
        pages = {key: " ".join(one.split()) for key, one in text_by_title(read(content)[0]).items()}
        assert f"Two bays. {told} " in pages["Sunday 21 June 2026"], told
        assert f"Parking: Two bays. ({told})" in pages["To pack and carry"], told


def test_days_at_one_place_have_their_own_parking_hours_on_the_page_of_who_drives() -> None:
    hours = {"week": [{"first": "sun", "opens": "09:00", "closes": "17:00"}]}
    content = crew_content(place=location(parking="Two bays.", parking_hours=hours))
    (first,) = content.days
    days = (first, replace(first, key="day-2", date=date(2026, 6, 22), setups=()))
    page = text_by_title(read(replace(content, days=days, edition="carry"))[0])["To pack and carry"]
    assert "Sun 21 Jun: free 09:00 to 17:00" in " ".join(page.split())
    assert "Mon 22 Jun: free closed" not in " ".join(page.split())
    assert "Mon 22 Jun: not free" in " ".join(page.split())


def test_who_carries_stands_with_a_phone_at_the_head_of_the_page_to_carry() -> None:
    job = ProductionRecord.read(
        {
            "title": "F",
            "crew": [
                {
                    "name": "Jo Quill",
                    "role": "Driver and runner, hauls",
                    "phone": "+44 7700 900305",
                },
                {"name": "Tom Reyes", "role": "Camera", "phone": "+44 7700 900302"},
                {"name": "Al Grip", "role": "key grip"},
            ],
        }
    )
    content = replace(crew_content(), production=job)
    page = " ".join(text_by_title(read(content)[0])["To pack and carry"].split())
    head = page.split("To pack ", 2)[1]
    assert "Jo Quill Driver and runner, hauls +44 7700 900305" in page.split("Camera body")[0]
    assert "Al Grip key grip" in page.split("Camera body")[0]
    assert "Tom Reyes" not in head
