"""The whole packet, read again with pypdf."""

from __future__ import annotations

import functools
import io
import os
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from scout.drawing.shapes import Drawing, Line, Pen
from scout.packet import build, photos
from scout.packet.build import build_packet, render_packet, write_whole
from scout.packet.content import (
    CrewNote,
    PacketChange,
    PacketContent,
    PacketLocation,
    PacketPhoto,
    PacketRoom,
)
from scout.packet.setting import fonts
from scout.records.kit import Light
from scout.records.sheet import RoomRecord
from scout.records.starter_kits import starter_kit
from scout.values import Name
from tests.packet.invented import (
    comparison,
    content,
    jpeg,
    location,
    packet_room,
    photo,
    production,
    room,
)
from tests.packet.printed import fonts_of, words_of


def read(given: PacketContent) -> tuple[PdfReader, str, Any]:
    body, result = render_packet(given)
    reader = PdfReader(io.BytesIO(body))
    return reader, words_of(reader), result


@functools.cache
def usual() -> tuple[PdfReader, str, Any]:
    """The usual content, set once."""
    return read(content())


def test_every_kind_of_page_is_there() -> None:
    reader, words, result = usual()
    assert result.warnings == ()
    assert result.pages == len(reader.pages)
    for part in (
        "The ferry letters",
        "Harbour museum",
        "Sunday 21 June 2026",
        "Revision 2",
        "What changed since revision 1",
        "noise measured again",
        "Jón Þórsson",
        "Contents",
        "Weir House",
        "geo:52.2053,0.1197",
        "Mo Farrell",
        "Low beam over the stairs",
        "Long parlour",
        "Sign On What, and what to do",
        "34 dBA, 4 over what the interview needs",
        "10:12 to 15:40",
        "Unknown: W2 sill is not measured.",
        "P1",
        "12.8 A",
        "NC-27, set by 1,000 Hz",
        "high · cast 14.0 · 4.4 stops",
        "close",
        "Missing: bring it",
        "Bring a 20 m cable for key",
        "Fireplace",
        "The clock chimes.",
        "Interview with the ferryman",
        "care: 34.0 dBA",
        "The quay floods at spring tide.",
        "licensed electrician",
    ):
        assert part in words, part


def test_the_kit_is_a_list_to_pack_by() -> None:
    wanted = starter_kit("three_lights")
    assert wanted is not None
    lights = [
        *(wanted.kit.lights or ()),
        Light.model_validate({"id": "torch", "supply": "battery", "lumens": 900, "beam_deg": 30}),
    ]
    kit = wanted.kit.model_copy(update={"lights": tuple(lights)})
    _, words, result = read(
        content(production=production(kit=kit.model_dump(mode="json", exclude_none=True)))
    )
    assert result.warnings == ()
    for part in (
        "To pack and to count by",
        "Camera B",
        "key",
        "300 W",
        "9,000 lux",
        "battery charger",
        "130 W",
        "3 × light stand",
        "white board",
        "softbox",
        "takes 1.3 stops",
        "2 × 10.00 m",
        "1.5 mm²",
        "torch",
        "± ½ stop",
        "invented",
    ):
        assert part in words, part
    _, bare, _ = read(content(production=production(kit={"ratio": 4})))
    assert "Nothing of the kit is recorded" in bare


def test_each_page_is_numbered_of_all() -> None:
    reader, _, result = usual()
    for number, page in enumerate(reader.pages, start=1):
        assert f"page {number} of {result.pages}" in page.extract_text()


def test_contents_lead_to_the_pages_they_name() -> None:
    # by hand: a section begins on the page on which its title first stands after the contents.
    reader, _, _ = usual()
    listed = reader.pages[0].extract_text()  # under the cover, where they fit
    for title in (
        "Weir House",
        "Long parlour",
        "Comparison: Interview with the ferryman",
        "Kit",  # the findings ask for something to be brought
        "Cautions",
    ):
        found = re.search(re.escape(title) + r"\s*(\d+)", listed)
        assert found, title
        page = reader.pages[int(found.group(1)) - 1].extract_text()
        assert title in page
        assert (
            title not in reader.pages[int(found.group(1)) - 2].extract_text()
            or int(found.group(1)) == 2
        )
    links = [note.get_object() for note in reader.pages[0]["/Annots"]]
    assert len(links) == 5
    assert all("/Dest" in link or "/A" in link for link in links)


def test_outline_follows_the_sections() -> None:
    reader, _, _ = usual()
    outline = reader.outline
    assert [entry["/Title"] for entry in outline if not isinstance(entry, list)] == [
        "Weir House",
        "Comparison: Interview with the ferryman",
        "Kit",  # the findings ask for something to be brought
        "Cautions",
    ]
    assert [entry["/Title"] for entry in outline[1]] == ["Long parlour"]
    assert (
        reader.get_destination_page_number(outline[1][0]) == 2
    )  # cover with the contents, location, room


def test_metadata_and_language() -> None:
    reader, _, _ = usual()
    assert reader.metadata is not None
    assert reader.metadata.title == "The ferry letters: crew packet, Revision 2"
    assert reader.metadata.author == "Ada Okoro"
    assert "12 May 2026" in str(reader.metadata.subject)
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert str(reader.trailer["/Root"]["/ViewerPreferences"]["/DisplayDocTitle"]).lower() == "true"


@pytest.mark.parametrize(
    ("paper", "width", "height"), [("a4", 595.28, 841.89), ("letter", 612.0, 792.0)]
)
def test_both_papers(paper: Any, width: float, height: float) -> None:
    # Source: ISO 216 A4 is 210 x 297 mm; US Letter 8.5 x 11 in; 72 points an inch.
    reader, words, result = read(content(paper=paper))
    assert result.warnings == ()
    assert "Reduced to" not in words
    for page in reader.pages:
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.01)


def test_every_font_is_embedded_and_nothing_outside_is_linked() -> None:
    reader, _, _ = read(content())
    for font in fonts_of(reader).values():
        assert font["/Subtype"] == "/Type0"
        assert "/FontFile2" in font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
    body, _ = render_packet(content())
    assert b"/URI" not in body
    assert b"/JavaScript" not in body


def test_what_is_missing_is_said_loudly() -> None:
    bare = PacketLocation(
        record=location(hazards=None, contacts=None, latitude_deg=None, longitude_deg=None)
    )
    _, words, _ = read(content(locations=(bare,)))
    assert "Not recorded. Find out, and tell the crew, before anybody works here." in words
    assert "Nobody has written that there are none." in words
    assert "No contact is recorded." in words
    assert "geo:" not in words


def test_empty_content_still_makes_a_packet() -> None:
    empty = PacketContent(
        production=production(client=None, shoot_dates=None, crew=None),
        revision=Name("Revision 1"),
        generated_at=Name("today"),
    )
    reader, words, result = read(empty)
    assert result.warnings == ()
    assert len(reader.pages) == 2  # the cover with the contents, the cautions
    assert "First revision" in words
    bare = PacketRoom(room=RoomRecord.read({}))
    _, words, result = read(
        content(
            locations=(PacketLocation(record=location(), rooms=(bare,)),),
            comparisons=(comparison(0),),
        )
    )
    assert result.warnings == ()
    assert "Unnamed room" in words
    assert "not measured" in words
    assert "nan" not in words.lower().split()


NASTY = [
    "<b>bold</b> </para><img src='file:///etc/passwd'/>",
    "x" * 300,
    "\x00\x01\u202eevil\u2066 \ud800 \ufeff",
    "(unbalanced \\( ) \\ /Name <</S /URI>> BT ET",
    "مدخل المبنى الرئيسي (Gate 3)",
    "🎬 📷 lights",
    "line\n" * 50,
    "",
    " ",
]


@pytest.mark.parametrize("typed", NASTY)
def test_nothing_typed_breaks_the_packet(typed: str) -> None:
    # The records refuse some of these; the packet takes them all the same, so the records are made
    # unchecked here.
    name = typed or "-"
    told = location().model_copy(
        update=dict.fromkeys(
            ("name", "address", "load_in", "hazards", "emergency_care", "house_rules"), typed
        )
    )
    made = room().model_copy(update={"name": typed})
    note = CrewNote(typed, typed, typed)
    given = content(
        production=production().model_copy(update={"title": typed, "client": typed}),
        revision=Name(typed),
        generated_at=Name(typed),
        changes=(PacketChange(typed, Name(typed)),),
        changes_since=Name(typed),
        prepared_by=typed,
        cautions=(Name(typed),),
        locations=(
            PacketLocation(
                record=told,
                rooms=(packet_room(room=made, notes=(note,)),),
                photos=(PacketPhoto(name, jpeg, typed, (typed,)),),
                notes=(note,),
            ),
        ),
    )
    reader, words, result = read(given)
    assert all("boxed code" in warning for warning in result.warnings)
    assert len(reader.pages) >= 7
    if "<b>" in typed:
        assert "<b>bold</b>" in words
        assert "</para><img" in words
    if typed == "x" * 300:
        for page in reader.pages:
            assert page.extract_text()


def test_a_note_of_200_000_characters_runs_over_pages() -> None:
    note = CrewNote("the grip truck waits at the dock " * 6060 + "THE END")
    reader, words, result = read(
        content(locations=(PacketLocation(record=location(), notes=(note,)),))
    )
    assert result.warnings == ()
    assert len(reader.pages) > 25
    assert words.count("THE END") == 1
    assert words.count("truck") == 6060


def test_a_fact_longer_than_a_page_splits_inside_its_row() -> None:
    long = "carry it round by the east stairs and mind the glass " * 400
    _, words, result = read(content(locations=(PacketLocation(record=location(load_in=long)),)))
    assert result.warnings == ()
    assert words.count("stairs") == 401  # one stands in the hazards


def test_hundreds_of_outlets_repeat_their_head() -> None:
    many = room(outlets=[{"id": f"P{n}", "wall": "B", "offset_m": 0.1} for n in range(400)])
    reader, words, result = read(
        content(locations=(PacketLocation(record=location(), rooms=(packet_room(room=many),)),))
    )
    assert result.warnings == ()
    heads = [page for page in reader.pages if "From its left end" in page.extract_text()]
    assert len(heads) >= 7
    for n in (0, 199, 399):
        assert f"P{n} B" in words


def test_sixty_photos_some_of_them_bad() -> None:
    shots = [
        photo(
            f"{n}.jpg",
            f"shot {n}",
            width=300,
            height=200 if n % 3 else 900,
            colour=f"#{n * 4:02x}6d4b",
        )
        for n in range(57)
    ]
    shots += [
        PacketPhoto("x.jpg", lambda: b"", "broken"),
        PacketPhoto("y.jpg", lambda: jpeg()[:300], "half"),
        photo("t.jpg", "tall", width=4, height=3000),
    ]
    reader, words, result = read(
        content(locations=(PacketLocation(record=location(), photos=tuple(shots)),))
    )
    assert len(result.warnings) == 2
    assert "The photo “broken” is not printed" in words
    assert "shot 56" in words
    assert "tall" in words
    assert result.bytes < 3_000_000
    assert sum(len(page.images) for page in reader.pages) == 58


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

    monkeypatch.setattr(build, "location_pages", fails)
    _, words, result = read(content())
    assert "The page of Weir House could not be printed: a bug." in words
    assert "Long parlour" in words
    assert result.warnings == ("The page of Weir House could not be printed: a bug.",)


def test_cjk_without_its_fonts_says_so_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    found = fonts.font_path
    monkeypatch.setattr(fonts, "font_path", lambda key: None if key in fonts.CJK else found(key))
    reader, _, result = read(
        content(locations=(PacketLocation(record=location(address="东京都 1-2")),))
    )
    page = reader.pages[1].extract_text()
    assert "sillbook with the extra cjk" in " ".join(page.split())
    assert any("U+4E1C" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    "typed", ["会议室 二楼", "カメラの部屋", "회의실", "बैठक कक्ष", "ห้องประชุม", "חדר ישיבות", "قاعة"]
)
def test_names_in_every_script_stand_in_title_contents_and_outline(typed: str) -> None:
    given = content(locations=(PacketLocation(record=location(name=typed)),))
    reader, _, result = read(given)
    assert result.warnings == ()
    assert reader.outline[0]["/Title"] == typed
    for page in (0, 1):
        assert all(word in reader.pages[page].extract_text() for word in typed.split())


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
    _, words, _ = read(content(units="feet"))
    assert "16' 5\" × 21' 4\"" in words
    assert "Bring a 50 ft cable for key" in words  # by hand: 10.6 m is 34.8 ft; 50 ft is sold next


def test_progress_counts_the_sections() -> None:
    told: list[tuple[int, int]] = []
    render_packet(content(), progress=lambda done, all_of_them: told.append((done, all_of_them)))
    assert told == [(done, 5) for done in range(6)]  # with the kit: something is to be brought


def test_the_same_content_makes_the_same_number_of_pages_twice_at_once() -> None:
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(lambda _: render_packet(content())[1], range(3)))
    assert len({(result.pages, result.warnings) for result in results}) == 1


def test_the_file_is_written_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "new" / "packet.pdf"
    result = build_packet(content(), out)
    assert out.stat().st_size == result.bytes
    assert out.read_bytes().startswith(b"%PDF-")
    before = out.read_bytes()

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(out, b"half")
    assert out.read_bytes() == before
    assert [path.name for path in out.parent.iterdir()] == ["packet.pdf"]


def test_no_type_of_the_content_can_carry_a_private_note() -> None:
    # property: the only notes a packet takes are CrewNote, and that has no audience to get wrong.
    assert set(CrewNote.__dataclass_fields__) == {"text", "author", "written_at"}
    assert PacketLocation.__dataclass_fields__["notes"].type == "tuple[CrewNote, ...]"
    assert PacketRoom.__dataclass_fields__["notes"].type == "tuple[CrewNote, ...]"


def test_photos_are_never_taller_than_the_page() -> None:
    assert photos.HEIGHT_MOST + 2 * photos.CAPTION_LINES * 12.5 < 792 - build.HEAD - build.FOOT
    assert replace(content(), paper="letter").paper == "letter"
