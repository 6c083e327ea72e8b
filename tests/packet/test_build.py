"""The pages of both contents, read again with pypdf."""

from __future__ import annotations

import functools
import io
import re
from dataclasses import replace
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from scout.assess.answers import RoomAssessment
from scout.drawing.shapes import Drawing, Line, Pen
from scout.packet import editions
from scout.packet.content import CrewNote, PacketContent, PacketPhoto
from scout.packet.crew.running import setting_of, settings_of
from scout.packet.editions import print_edition
from scout.packet.figures.content import FiguresContent, PacketLocation, PacketRoom
from scout.packet.setting import fonts
from scout.records.sheet import RoomRecord
from tests.packet.invented import (
    assessment,
    at,
    comparison,
    content,
    crew_content,
    jpeg,
    location,
    packet_room,
    production,
    render_packet,
    room,
)
from tests.packet.printed import fonts_of, text_of_pages, words_of


def read(given: FiguresContent | PacketContent, **kept: Any) -> tuple[PdfReader, str, Any]:
    if isinstance(given, PacketContent):
        body, result = print_edition(given)
    else:
        body, result = render_packet(given, **kept)
    reader = PdfReader(io.BytesIO(body))
    return reader, words_of(reader), result


@functools.cache
def usual() -> tuple[PdfReader, str, Any]:
    """A crew's packet, set once."""
    return read(crew_content())


def test_a_crew_finds_the_day_the_room_and_the_numbers() -> None:
    reader, words, result = usual()
    assert result.warnings == ()
    assert result.pages == len(reader.pages)
    for part in (
        "The ferry letters",
        "What changed since revision 1",
        "noise measured again",
        "Jón Þórsson",
        "Sunday 21 June 2026",
        "Long parlour",
        "Interview with the ferryman",
        "Keep the shutters half closed.",
        "Low beam over the stairs",
        "Find the nearest emergency care to Weir House",
        "Bring a 20 m cable for key",
    ):
        assert part in words, part
    for page in reader.pages:
        text = page.extract_text()
        assert "+44 20 7946 0001" in text  # whoever runs it, on every page
        assert "999 / 112" in text


def test_each_page_is_numbered_of_all() -> None:
    reader, _, result = usual()
    for number, page in enumerate(reader.pages, start=1):
        assert f"rev 2, page {number} of {result.pages}" in page.extract_text()


def test_outline_and_links_lead_to_the_pages() -> None:
    reader, _, _ = usual()
    titles = [entry["/Title"] for entry in reader.outline if not isinstance(entry, list)]
    assert titles[:2] == ["The ferry letters", "Sunday 21 June 2026"]
    links = [note.get_object() for note in reader.pages[0]["/Annots"]]
    calls = [link["/A"]["/URI"] for link in links if "/A" in link and "/URI" in link["/A"]]
    assert "tel:+442079460001" in calls
    assert any("/Dest" in link or "/D" in link.get("/A", {}) for link in links)


def test_metadata_and_language() -> None:
    reader, _, _ = usual()
    assert reader.metadata is not None
    assert reader.metadata.title == "The ferry letters: crew packet, Revision 2"
    assert reader.metadata.author == "Ada Okoro"
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert str(reader.trailer["/Root"]["/ViewerPreferences"]["/DisplayDocTitle"]).lower() == "true"


@pytest.mark.parametrize(
    ("paper", "width", "height"), [("a4", 595.28, 841.89), ("letter", 612.0, 792.0)]
)
def test_both_papers(paper: Any, width: float, height: float) -> None:
    # Source: ISO 216 A4 is 210 x 297 mm; US Letter 8.5 x 11 in; 72 points an inch.
    for reader, words, result in (read(content(), paper=paper), read(crew_content(paper=paper))):
        assert result.warnings == ()
        assert "Reduced to" not in words
        for page in reader.pages:
            assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)
            assert float(page.mediabox.height) == pytest.approx(height, abs=0.01)


def test_every_font_is_embedded() -> None:
    reader, _, _ = usual()
    for font in fonts_of(reader).values():
        assert font["/Subtype"] == "/Type0"
        assert "/FontFile2" in font["/DescendantFonts"][0].get_object()["/FontDescriptor"]


def test_the_same_content_is_the_same_bytes() -> None:
    first, _ = print_edition(crew_content())
    assert print_edition(crew_content())[0] == first


def test_what_is_missing_is_said_loudly() -> None:
    bare = location(hazards=None, contacts=None, latitude_deg=None, longitude_deg=None)
    _, words, _ = read(crew_content(place=bare))
    assert "Not recorded. Find out, and tell the crew, before anybody works here." in words
    assert "Nobody has written that there are none." in words
    assert "Find somebody to ring at Weir House" in words


def test_empty_content_still_makes_a_packet() -> None:
    empty = crew_content(
        production=production(client=None, shoot_dates=None, crew=None),
        days=(),
        changes=None,
        unchosen=("The last letter",),
    )
    _, words, result = read(empty)
    assert result.warnings == ()
    assert "Choose a room for The last letter" in words
    bare = PacketRoom(room=RoomRecord.read({}))
    given = content(
        locations=(PacketLocation(record=location(), rooms=(bare,)),), comparisons=(comparison(0),)
    )
    _, words, result = read(given)
    assert result.warnings == ()
    assert "Unnamed room" in words
    assert "nan" not in words.lower().split()


NASTY = [
    "<b>bold</b> </para><img src='file:///etc/passwd'/>",
    "x" * 300,
    "\x00\x01\u202eevil\u2066 \ud800 \ufeff",
    "(unbalanced \\( ) \\ /Name <</S /URI>> BT ET",
    "مدخل المبنى الرئيسي (Gate 3)",
    "🎬 📷 lights",
    "line\n" * 50,
]


@pytest.mark.parametrize("typed", NASTY)
def test_nothing_typed_breaks_the_packet(typed: str) -> None:
    # The records refuse some of these; the packet takes them all the same.
    place = location().model_copy(
        update={"name": typed, "address": typed, "hazards": typed, "parking": typed}
    )
    notes = {"notes": (CrewNote(typed, typed, typed),)}
    made = production().model_copy(update={"title": typed, "client": typed})
    reader, words, _ = read(crew_content(place=place, production=made, setup=notes))
    assert all(text_of_pages(reader))
    if typed.startswith("<b>"):
        assert "</para><img" in words


def unread() -> RoomAssessment:
    """The invented room, had nobody read its noise."""
    found = assessment()
    return replace(found, sound=replace(found.sound, laeq_db=None))


def test_a_note_of_200_000_characters_costs_no_page_but_its_own() -> None:
    note = CrewNote("the grip truck waits at the dock " * 6060 + "THE END")
    reader, words, _ = read(crew_content(setup={"notes": (note,), "found": unread()}))
    assert words.count("THE END") == 1
    # by hand: 200 letters of it stand beside the key on the sound page, 6 times 33
    assert words.count("truck") == 6060 + 6
    assert len(reader.pages) > 25


def test_hundreds_of_outlets_repeat_their_head() -> None:
    many = room(outlets=[{"id": f"P{n}", "wall": "B", "offset_m": 0.1} for n in range(400)])
    reader, words, result = read(
        content(locations=(PacketLocation(record=location(), rooms=(packet_room(room=many),)),))
    )
    assert result.warnings == ()
    heads = [page for page in text_of_pages(reader) if "From its left end" in page]
    assert len(heads) >= 7
    for n in (0, 199, 399):
        assert f"P{n} B" in words


def test_a_bad_photo_costs_itself_alone() -> None:
    shots = (
        PacketPhoto("x.jpg", lambda _: Image.open(io.BytesIO(b"")), "broken"),
        PacketPhoto("y.jpg", lambda _: Image.open(io.BytesIO(jpeg())), "whole"),
    )
    reader, words, result = read(crew_content(setup={"photos": shots}))
    assert len(result.warnings) == 1
    assert "The photo “broken” is not printed" in words
    assert "whole" in words
    assert sum(len(page.images) for page in reader.pages) == 1


def test_who_lends_the_place_reads_from_when_until_when_it_is_taken() -> None:
    built = {"set_up_from": at(9), "strike_until": at(12, 30)}
    _, words, _ = read(crew_content(edition="owner", setup=built))
    assert "10:00 to 12:00 set-up 09:00, struck 12:30" in words


def test_two_scenes_in_one_room_are_told_apart_where_one_alone_is_meant() -> None:
    (one,) = crew_content().every_setup
    scene = one.scene.model_copy(update={"name": "The toll"})
    one, two = replace(one, in_room=2), replace(one, key="setup-2", scene=scene, in_room=2)
    apart = "Long parlour, The toll"
    assert str(setting_of(two)) == str(settings_of([two, two])) == apart
    # by hand: what is asked for all that are shot there is asked for the room
    assert (
        str(settings_of([one, two])) == str(setting_of(replace(one, in_room=1))) == "Long parlour"
    )
    given = crew_content()
    _, words, _ = read(replace(given, days=(replace(given.days[0], setups=(one, two)),)))
    assert apart in words


def test_a_day_whose_photo_has_no_room_shows_it_among_the_photos() -> None:
    """property: the longer the house's rules, the smaller the photo, at last on the photos' page; once
    it stands, wherever, and the day keeps to one page as long as its words do.
    """
    photos_at, pages = set(), set()
    for times in (0, 24, 44):
        rules = "Shoes off above the stairs, and no tape on any wallpaper. " * times
        given = crew_content(place=location(house_rules=rules or None))
        (day,) = given.days
        shot = PacketPhoto("y.jpg", lambda _: Image.open(io.BytesIO(jpeg())), "Street side")
        reader, _, _ = read(replace(given, days=(replace(day, photos=(shot,)),)))
        texts = text_of_pages(reader)
        (at,) = [n for n, text in enumerate(texts) if "Street side" in text]
        photos_at.add("Photos" if "Photos" in texts[at] else "day")
        pages.add(sum("Day sheet" in text for text in texts))
    assert photos_at == {"Photos", "day"}
    assert pages == {1, 2}


def test_a_drawing_that_fails_is_replaced_by_its_description() -> None:
    class Odd(Line):
        @property
        def pen(self) -> Pen:  # type: ignore[override]
            raise RuntimeError("no such pen")

    shapes = (object.__new__(Odd),)
    odd = object.__new__(Drawing)
    for name, value in {
        "width_mm": 80.0,
        "height_mm": 60.0,
        "shapes": shapes,
        "title": "Odd plan",
        "description": "A room of 5 by 6.",
        "scale": 50.0,
    }.items():
        object.__setattr__(odd, name, value)
    _, words, result = read(
        content(locations=(PacketLocation(record=location(), rooms=(packet_room(plan=odd),)),))
    )
    assert "The drawing “Odd plan” is not printed" in words
    assert "A room of 5 by 6." in words
    assert len(result.warnings) == 1


@pytest.mark.parametrize("size", [(2000.0, 100.0), (100.0, 9000.0), (400.0, 400.0)])
def test_a_drawing_larger_than_the_page_is_shrunk_and_says_so(size: tuple[float, float]) -> None:
    large = Drawing(*size, (Line((0.0, 0.0), size, Pen()),), "Large", "A line.", 50.0)
    _, words, result = read(
        content(locations=(PacketLocation(record=location(), rooms=(packet_room(plan=large),)),))
    )
    assert result.warnings == ()
    assert "go by the scale bar, not by the stated scale" in words


def test_one_page_that_fails_does_not_cost_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: Any, **__: Any) -> Any:
        raise ZeroDivisionError("a bug")

    monkeypatch.setattr(editions, "day_sheet", fails)
    _, words, result = read(crew_content())
    said = "The page of Sun 21 Jun, Weir House could not be printed: a bug."
    assert said in words
    assert "Keep the shutters half closed." in words
    assert result.warnings == (said,)


def test_cjk_without_its_fonts_says_so_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    found = fonts.font_path
    monkeypatch.setattr(fonts, "font_path", lambda key: None if key in fonts.CJK else found(key))
    reader, _, result = read(crew_content(place=location(address="东京都 1-2")))
    page = reader.pages[1].extract_text()
    assert "U+4E1C" in page
    assert any("sillbook with the extra cjk" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    "typed", ["会议室 二楼", "カメラの部屋", "회의실", "बैठक कक्ष", "ห้องประชุม", "חדר ישיבות", "قاعة"]
)
def test_names_in_every_script_stand_on_the_page_and_in_the_outline(typed: str) -> None:
    reader, _, result = read(crew_content(room=room(name=typed)))
    assert result.warnings == ()
    titles = str(list(reader.outline))
    assert typed in titles
    text = reader.pages[0].extract_text()
    assert all(word in text for word in typed.split())


def test_comparison_of_many_candidates_stands_four_abreast() -> None:
    _, words, result = read(content(comparisons=(comparison(11),)))
    assert result.warnings == ()
    assert "Candidates 9 to 11 of 11" in words
    for level in (
        "passes: 34.0 dBA",
        "care: 34.0 dBA",
        "does not pass: 34.0 dBA",
        "unknown: 34.0 dBA",
    ):
        assert level in words


def test_feet_and_inches() -> None:
    # by hand: 5.0 m / 0.0254 = 196.85 in, to the half inch 197 in = 16' 5"; 6.5 m = 255.91 in = 256
    # in = 21' 4".
    _, words, _ = read(content(), units="feet")
    assert "16' 5\" × 21' 4\"" in words
    assert "Bring a 50 ft cable for key" in words  # by hand: 10.6 m is 34.8 ft; 50 ft is sold next


def test_no_type_of_the_content_can_carry_a_private_note() -> None:
    # property: the only notes a packet takes are CrewNote, and that has no audience to get wrong.
    assert set(CrewNote.__dataclass_fields__) == {"text", "author", "written_at"}


def test_only_what_is_new_gets_a_bar() -> None:
    found = {"found": unread()}
    known = frozenset(key for page in read(crew_content(setup=found))[2].lines for key in page)
    note = {"notes": (CrewNote("Bring the long ladder."),)}
    changed = crew_content(known_lines=known, setup=found | note)
    same = crew_content(known_lines=known, setup=found)
    # on the room's page, and beside the key on the sound page, which takes notes where no noise was
    # read: by hand, front, day, room, its plan, camera, light, sound
    assert bars(changed) == {3, 7}
    assert bars(same) == set()


def bars(given: PacketContent) -> set[int]:
    """Pages with a bar in the margin: strokes of 2 points right of the column."""
    reader = PdfReader(io.BytesIO(print_edition(given)[0]))
    found = set()
    for number, page in enumerate(reader.pages, start=1):
        contents = page.get_contents()
        if contents is not None and re.search(rb"\b2 w\s+n 561", contents.get_data()):
            found.add(number)
    return found
