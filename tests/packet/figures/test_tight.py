"""What keeps a packet short enough to be read at dawn: nothing said twice, tables by rows and
columns, the verdicts first.
"""

from __future__ import annotations

import functools
import io
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from pypdf import PdfReader
from reportlab.platypus import Spacer

from scout.assess import answers as a
from scout.assess.answers import unmeasured
from scout.assess.fit.plan.kinds import BoomClear
from scout.drawing.plan.sheet import room_plan
from scout.packet.blocks import Desk
from scout.packet.book import DRAWING_WIDTH_MM, FOOT, HEAD, PLAN_MOST_MM, SIDE
from scout.packet.figures.assumptions import RoomHeld, shared_messages, shared_table
from scout.packet.figures.beside import LONGER, Beside, beside
from scout.packet.figures.content import PacketLocation, PacketRoom
from scout.packet.figures.packing import Part, packed
from scout.packet.setting.shape import TypeCase
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.setting.text import Typesetter, letter_width
from scout.pages.assessing import tidy_plan
from scout.records.sheet import Marks, RoomRecord
from scout.values import Figure, Name, Word
from tests.packet.invented import assessment, content, location, packet_room, render_packet
from tests.packet.printed import text_of_pages, words_of


def of_room(**kept: Any) -> tuple[PdfReader, str]:
    """The packet of one room with parts of its assessment replaced, and all its words."""
    room = packet_room(assessment=replace(assessment(), **kept))
    body, result = render_packet(
        content(locations=(PacketLocation(record=location(), rooms=(room,)),))
    )
    assert result.warnings == ()
    reader = PdfReader(io.BytesIO(body))
    return reader, words_of(reader)


@functools.cache
def usual_pages() -> list[str]:
    """The words of each page of the usual content."""
    reader = PdfReader(io.BytesIO(render_packet(content())[0]))
    return text_of_pages(reader)


def test_findings_stand_first_and_the_plan_with_its_legend_on_one_page() -> None:
    pages = usual_pages()
    first = next(at for at, page in enumerate(pages) if "Room at Weir House" in page)
    page = " ".join(pages[first : first + 2])
    assert page.index("unknown: 34 dBA, 4 over") < page.index("Sun Dawn")
    assert "Bring a 20 m cable for key (carry, before the day)" in page
    assert page.index("red wall") < page.index("34 dBA, 4 over") < page.index("410 lux")
    assert "nothing to plug in" not in page  # what does not apply is not said
    (plan,) = [page for page in pages if "wall, inner face" in page]
    assert "1:50" in plan or "1:100" in plan
    assert "outlet · its circuit" in plan
    assert plan in pages[first : first + 2]
    last = next(at for at, page in enumerate(pages) if "Comparison for" in page)
    assert last - first <= 4


def test_the_best_surface_of_a_light_stands_before_the_grid() -> None:
    rows = tuple(
        a.BounceAnswer(
            light="key", surface=name, delta_e=de, loss_stops=3.0, mired_shift=10.0, risk=risk
        )
        for name, de, risk in (
            ("A", 4.0, "medium"),
            ("B", 6.0, "medium"),
            ("floor", 2.0, "medium"),
            ("ceiling", 14.0, "high"),
        )
    )
    _, printed = of_room(bounce=rows, surround=())
    # by hand: of the walls and the ceiling at the same loss the least risk is wall A, before wall B
    # in the sheet.
    assert "key wall A medium cast 4.0, 3 stops lost, +10 mired" in printed
    assert "ceiling high · cast 14.0 · 3 stops" in printed


def test_what_is_unknown_for_one_reason_is_one_sentence() -> None:
    why = Name("because their colours are not measured")
    rows = tuple(
        a.BounceAnswer(light=light, surface=name, unknown=why)
        for light in ("key", "fill")
        for name in ("A", "B", "floor")
    )
    known = (
        a.BounceAnswer(light="key", surface="C", delta_e=1.0, loss_stops=3.0, risk="low"),
        a.BounceAnswer(light="fill", surface="C", unknown=Name("because it is off")),
    )
    _, said = of_room(bounce=(*rows, *known), surround=())
    assert said.count("their colours are not measured") == 1
    assert "Walls A and B and the floor: because their colours are not measured." in said
    assert "Wall C for fill: because it is off." in said
    _, said = of_room(bounce=rows, surround=())
    assert "Every surface: because their colours are not measured." in said


def test_a_lens_that_misses_by_more_is_not_explained_again() -> None:
    rows = (
        a.FramingAnswer(name="medium", focal_length_mm=24, distance_m=1.5, fits=True),
        a.FramingAnswer(
            name="medium",
            focal_length_mm=50,
            distance_m=3.2,
            fits=False,
            why=Name("needs 3.20 m and there are 3.00 m"),
        ),
        a.FramingAnswer(
            name="medium",
            focal_length_mm=85,
            distance_m=5.4,
            fits=False,
            why=Name("needs 5.40 m and there are 3.00 m"),
        ),
        a.FramingAnswer(
            name="wide", focal_length_mm=24, unknown=Name("because the far wall is not measured")
        ),
    )
    _, said = of_room(fit=a.FitAnswer(framings=rows))
    assert (
        "medium fits · 1.50 m no · 3.20 m no · 5.40 m 50 mm needs 3.20 m and there are 3.00 m"
        in said
    )
    assert "needs 5.40 m" not in said
    assert said.count("because the far wall is not measured") == 1


def test_lenses_unknown_for_one_reason_say_it_once() -> None:
    rows = tuple(
        a.FramingAnswer(
            name=name, focal_length_mm=f, unknown=Name("because the sensor is not recorded")
        )
        for name in ("wide", "medium")
        for f in (24.0, 50.0)
    )
    _, said = of_room(fit=a.FitAnswer(framings=rows))
    assert said.count("the sensor is not recorded") == 1


def test_points_of_a_walk_share_a_row() -> None:
    marks = {
        f"path {n}": a.MarkDaylight(
            daylight_factor_pct=float(n), overcast_lux_noon=100.0 * n, clear_lux_noon=300.0
        )
        for n in (1, 2, 3)
    }
    marks["path 4"] = a.MarkDaylight(unknown=Name("because it lies outside the room"))
    _, said = of_room(daylight=a.DaylightAnswer(marks=marks, needed_lux=250))
    assert "walk 1 to 3 1.00 to 3.00 % 100 to 300 lux 300 lux" in said
    assert "walk 4 unknown unknown unknown Unknown: because it lies outside the room." in said


def test_what_is_needed_at_the_subject_goes_by_the_plane_of_the_verdict() -> None:
    light = assessment().daylight
    assert light.enough_from is not None
    early, late = light.enough_from + timedelta(hours=2), light.enough_from + timedelta(hours=3)
    level = replace(
        light.marks["subject"],
        camera_overcast_lux_noon=None,
        enough_from=light.enough_from,
        enough_until=light.enough_until,
    )
    side = replace(
        level,
        camera_overcast_lux_noon=260.0,
        camera_clear_lux_noon=500.0,
        camera_enough_from=early,
        camera_enough_until=late,
    )
    for mark, end in (
        (
            level,
            f"brings it {light.enough_from:%H:%M} to {light.enough_until:%H:%M}, on a level plane.",
        ),
        (side, f"brings it {early:%H:%M} to {late:%H:%M}, on the side that the camera sees."),
        (
            replace(side, camera_enough_from=None, camera_enough_until=None),
            "brings it at no time, on the side that the camera sees.",
        ),
        (replace(level, overcast_lux_noon=None), ""),
    ):
        _, said = of_room(daylight=replace(light, marks={**light.marks, "subject": mark}))
        assert "Needed at the subject: 250 lux; " in said
        assert end in said


def test_windows_with_the_same_sun_share_a_row() -> None:
    first = assessment().windows[0]
    _, said = of_room(
        windows=(first, replace(first, id="W7"), replace(first, id="W8", direct_sun_min=1.0))
    )
    assert said.count("W1 and W7") == 1
    assert "W8 183°" in said


def test_assumptions_stand_once_at_the_end_and_are_joined_cleanly() -> None:
    given = assessment()
    twice = "the glass is clean"
    _, said = of_room(
        windows=tuple(
            replace(one, assumed=(twice, unmeasured(f"windows.{one.id}.sill_m")))
            for one in given.windows
        ),
        sound=replace(given.sound, assumed=(twice, Name("doors are shut"))),
    )
    assert said.count("The glass is clean") + said.count("the glass is clean") == 1
    assert "W1 sill and W2 sill are not measured." in said
    assert said.count("What these figures assume") == 1
    assert "Assumed:" not in said
    assert ".;" not in said
    assert ".." not in said
    assert said.index("What these figures assume") > said.index("Who measured what")


def test_rows_with_notes_lose_nothing_when_they_split() -> None:
    # property: what is split over pages holds the same words in the same order.
    setter = Typesetter(TypeCase())
    note = " ".join(f"n{k}" for k in range(700))
    rows = [
        Row([Cell("key"), Cell(" ".join(f"c{k}" for k in range(120)))], note),
        Row(["fill", "short"], "its note"),
        ["back", "plain"],
    ]
    table = Ledger(setter, [Column("Light"), Column("Where")], rows)
    waiting: list[Any] = [table]
    pieces = 0
    seen: list[int] = []
    while waiting:
        one = waiting.pop(0)
        if one.wrap(300.0, 150.0)[1] > 150.0:
            parts = one.split(300.0, 150.0)
            assert parts
            waiting[:0] = parts
            continue
        pieces += 1
        seen += [row.lines for row in one._set(300.0)[1]]
    assert pieces > 3
    whole = [
        row.lines for row in Ledger(setter, [Column("Light"), Column("Where")], rows)._set(300.0)[1]
    ]
    assert sum(seen) == sum(whole)


@pytest.mark.parametrize(
    ("width_m", "length_m"),
    [(2.5, 3.0), (3.0, 4.0), (4.0, 5.0), (5.0, 6.5), (6.0, 6.0), (6.0, 8.0), (8.0, 6.0)],
)
def test_ordinary_rooms_are_drawn_at_one_to_a_hundred_or_larger(
    width_m: float, length_m: float
) -> None:
    plan = tidy_plan(lambda size: _plan(width_m, length_m, size))
    assert plan.scale is not None
    assert plan.scale <= 100
    assert plan.height_mm <= PLAN_MOST_MM


def test_a_plan_at_its_highest_fits_letter_under_a_heading() -> None:
    # Source: US Letter is 8.5 x 11 in, that is 612 x 792 points; 72 points are 25.4 mm.
    assert PLAN_MOST_MM / 25.4 * 72 + 30 <= 792 - HEAD - FOOT
    assert DRAWING_WIDTH_MM / 25.4 * 72 <= 595.28 - 2 * SIDE  # A4 is the narrower
    assert tidy_plan(lambda size: _plan(60.0, 90.0, size)).height_mm <= PLAN_MOST_MM


def test_a_plan_without_a_scale_is_left_as_it_is() -> None:
    calls = []

    def drawn(size: tuple[float, float]) -> Any:
        calls.append(size)
        return room_plan(RoomRecord.read({"name": "R"}), size_mm=size)

    assert tidy_plan(drawn).scale is None
    assert len(calls) == 1


def _plan(width_m: float, length_m: float, size: tuple[float, float]) -> Any:
    room = RoomRecord.read(
        {
            "name": "R",
            "setting": "interior",
            "width_m": width_m,
            "length_m": length_m,
            "height_m": 2.7,
            "facing": {"wall": "A", "bearing_deg": 11, "north": "true", "accuracy_deg": 3},
            "windows": [
                {
                    "id": "W1",
                    "wall": "A",
                    "offset_m": 0.5,
                    "sill_m": 0.9,
                    "width_m": 1.2,
                    "height_m": 1.5,
                }
            ],
            "doors": [{"id": "D1", "wall": "C", "offset_m": 0.2, "width_m": 0.8, "height_m": 2}],
            "outlets": [{"id": "P1", "wall": "B", "offset_m": 0.6}],
        }
    )
    return room_plan(
        room,
        marks=Marks.read({"subject": [1.2, 1.5, 1.2], "camera": [1.2, 0.8, 1.4]}),
        size_mm=size,
        text_width=letter_width(),
    )


def test_what_several_rooms_assume_is_said_once_and_for_which() -> None:
    # property: a sentence that two of three rooms share stands once, with their names; one room's
    # own stands with it; one that all share needs no names.
    given = assessment()

    def with_words(*said: str) -> PacketRoom:
        return packet_room(
            assessment=replace(given, sound=replace(given.sound, assumed=tuple(map(Name, said))))
        )

    rooms = tuple(
        with_words(*said)
        for said in (
            ("Air is still", "Doors are shut"),
            ("Air is still", "Doors are shut"),
            ("Air is still", "Rain is away"),
        )
    )
    named = tuple(
        replace(room, room=room.room.model_copy(update={"name": name}))
        for room, name in zip(rooms, ("Attic", "Barn", "Cellar"), strict=True)
    )
    reader = PdfReader(
        io.BytesIO(
            render_packet(content(locations=(PacketLocation(record=location(), rooms=named),)))[0]
        )
    )
    said = words_of(reader)
    assert said.count("Air is still.") == 1
    assert "Not for Cellar: Doors are shut." in said
    assert said.count("oors are shut") == 1
    cellar = said[said.rindex("Room at", 0, said.index("Rain is away")) :]
    assert "Rain is away." in cellar
    assert said.count("Rain is away") == 1


def test_rooms_are_named_in_the_fewest_words() -> None:
    # by hand: of four rooms two hold it: named; three: the fourth is excepted; two rooms of one
    # name carry their place.
    held = [
        RoomHeld(name, place)
        for name, place in (("Attic", "Mill"), ("Barn", "Mill"), ("Hall", "Mill"), ("Hall", "Farm"))
    ]
    for room in held[:2]:
        room.add("Sun", [unmeasured("room.facing")])
    for room in held[:3]:
        room.add("Sun", [unmeasured("room.height_m")])
    table = shared_table(Typesetter(TypeCase()), held, shared_messages(held))
    assert table is not None
    (row,) = table.rows
    assert row[1].text == (
        "For Attic and Barn: Facing is not measured.\nNot for Hall, Farm: Height is not measured."
    )  # type: ignore[index, union-attr]


def test_a_table_beside_a_figure_keeps_all_its_rows() -> None:
    # property: the rows beside and below are the rows given, in order, and those beside are no
    # higher than the figure with its margin.
    desk = Desk(Typesetter(TypeCase()), 500.0, 700.0)
    rows = [[f"r{k}", "some words that take their room"] for k in range(20)]
    figure = Spacer(200.0, 150.0)
    first, rest = beside(desk, figure, [Ledger(desk.setter, [Column("A"), Column("B")], rows)])
    assert isinstance(first, Beside)
    assert isinstance(rest, Ledger)
    (table,) = first.said
    assert isinstance(table, Ledger)
    assert [*table.rows, *rest.rows] == rows
    assert first.wrap(500.0, 700.0)[1] <= 150.0 + LONGER
    assert len(table.rows) > 3
    assert (
        beside(desk, Spacer(400.0, 150.0), [desk.text("a")])[0].width == 400.0
    )  # too little room: one under the other


def test_what_fits_fills_the_page_before_a_drawing_turns_it() -> None:
    # by hand: 700 points; 500 are taken, the drawing of 400 would leave 200 empty, so the table's
    # 100 come first, and then it is unavoidable.
    desk = Desk(Typesetter(TypeCase()), 500.0, 700.0)
    taken, drawing, small, next_of_chain = (
        Spacer(1.0, 500.0),
        Spacer(1.0, 400.0),
        Spacer(1.0, 150.0),
        Spacer(1.0, 20.0),
    )
    order = packed(
        desk, [taken], [Part("a", [drawing]), Part("a", [next_of_chain]), Part("b", [small])]
    )
    assert order == [small, drawing, next_of_chain]  # parts of one chain keep their order
    assert packed(desk, [Spacer(1.0, 290.0)], [Part("a", [drawing]), Part("b", [small])]) == [
        drawing,
        small,
    ]  # it fits: read as written
    assert packed(desk, [], [Part("a", []), Part("b", [small])]) == [small]


def test_light_behind_the_subject_is_a_row_for_lenses_that_see_the_same() -> None:
    row = a.BackdropAnswer(
        focal_length_mm=24,
        surface="A",
        lux=25.0,
        daylight_lux=36.0,
        stops_from_face=-2.3,
        stops_seen=0.9,
    )
    unlit = a.BackdropAnswer(
        focal_length_mm=85, surface="A", unknown=Name("because the lux of key is not recorded")
    )
    _, said = of_room(
        fit=a.FitAnswer(
            backdrop=(
                row,
                replace(row, focal_length_mm=35),
                replace(row, focal_length_mm=50, stops_seen=-1.1),
                unlit,
            )
        )
    )
    assert "24 and 35 mm wall A 25 lux 36 lux 2.3 stops under 0.9 stops brighter" in said
    assert "50 mm wall A 25 lux 36 lux 2.3 stops under 1.1 stops darker" in said
    assert (
        "What stands behind the subject is not known for 85 mm: because the lux of key is not recorded."
        in said
    )


def test_the_microphone_and_the_walk_stand_in_full_beside_the_frame() -> None:
    boom = BoomClear(
        level="good",
        about=(Name("M 1"),),
        side=Word("side", "left"),
        distance=Figure(0.7, "m"),
        height=Figure(2.1, "m"),
    )
    _, said = of_room(findings=(boom,), fit=a.FitAnswer())
    # property: the line stands with the findings, the whole sentence with the frame
    assert "Out of frame: M 1 on its pole, 0.7 m from the mouth" in said
    assert "M 1 on its pole from picture left hangs clear" in said
    assert "2.10 m over the floor" in said
    assert said.index("Out of frame") < said.index("In the frame") < said.index("2.10 m over")
