"""Both renderers: the same shapes, nothing a person types breaks out, and a text alternative with
each.
"""

from __future__ import annotations

import io
import math
import re
from datetime import date
from typing import Any

import pytest
from defusedxml.ElementTree import fromstring
from pypdf import PdfReader
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from scout.assess.answers import LEVELS, EventsAnswer
from scout.drawing import pdf, svg
from scout.drawing.charts.timeline import TimelineRoom, day_timeline
from scout.drawing.lettering import helvetica_width
from scout.drawing.marks import mark
from scout.drawing.plan.sheet import room_plan
from scout.drawing.shapes import (
    Arc,
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Pen,
    Polygon,
    Polyline,
    Text,
    walk,
)
from scout.values import Word
from tests.drawing.rooms import EVERYTHING, NASTY, ODD_ROOMS, odd, parlour

SVG = "{http://www.w3.org/2000/svg}"


def full() -> Drawing:
    return room_plan(parlour(), **EVERYTHING, size_mm=(186.0, 250.0))


class Recorder:
    """Stands for a canvas and keeps what is drawn on it."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, tuple[Any, ...]]] = []

    def __getattr__(self, name: str) -> Any:
        def call(*args: Any, **_: Any) -> Any:
            self.calls.append((name, args))
            return self

        return call

    def count(self, name: str) -> int:
        return sum(1 for called, _ in self.calls if called == name)


def test_both_renderers_draw_the_same_shapes() -> None:
    # property: one list of shapes; each renderer makes of it as many lines, circles, arcs and
    # letters
    drawing = full()
    shapes = list(walk(drawing.shapes))
    letters = [s for s in shapes if isinstance(s, Text) and s.text]
    backs = sum(1 for s in letters if s.backed)
    root = fromstring(svg.render(drawing))
    assert len(root.findall(f".//{SVG}text")) == len(letters)
    assert len(root.findall(f".//{SVG}circle")) == sum(isinstance(s, Circle) for s in shapes)
    assert (
        len(root.findall(f".//{SVG}path"))
        == sum(isinstance(s, (Line, Polyline, Polygon, Arc, Hatch)) for s in shapes) + backs
    )
    canvas = Recorder()
    pdf.draw(canvas, drawing, 0.0, 0.0)
    assert sum(
        canvas.count(name) for name in ("drawString", "drawCentredString", "drawRightString")
    ) == len(letters)
    assert canvas.count("circle") == sum(isinstance(s, Circle) for s in shapes)
    assert canvas.count("arc") == sum(isinstance(s, Arc) for s in shapes)
    assert (
        canvas.count("drawPath") == sum(isinstance(s, (Polyline, Polygon)) for s in shapes) + backs
    )
    assert canvas.count("lines") == sum(
        isinstance(s, Line) or (isinstance(s, Hatch) and bool(s.lines())) for s in shapes
    )


def test_svg_turns_y_over_and_keeps_arcs_round_the_right_way() -> None:
    # by hand: on paper 100 high, (10, 20) is (10, 80) on the screen; a quarter arc from the x axis
    # anticlockwise ends above its centre
    drawing = Drawing(
        50,
        100,
        (Line((10, 20), (30, 40), Pen()), Arc((10.0, 20.0), 5.0, 0.0, 90.0, Pen())),
        "t",
        "d",
    )
    paths = [path.attrib["d"] for path in fromstring(svg.render(drawing)).findall(f"{SVG}path")]
    assert paths == ["M10 80L30 60", "M15 80A5 5 0 0 0 10 75"]


@pytest.mark.parametrize("name", ODD_ROOMS)
def test_svg_is_xml_with_title_and_description(name: str) -> None:
    text = svg.render(room_plan(odd(name)), id_prefix="plan")
    root = fromstring(text)
    assert root.attrib["role"] == "img"
    ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"plan-[A-Za-z0-9_-]+", found) for found in ids)
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text
    assert root.attrib["aria-labelledby"] == title.attrib["id"]
    assert description is not None
    assert description.text
    assert root.attrib["aria-describedby"] == description.attrib["id"]
    assert "nan" not in text.lower().replace("nanth", "")
    assert "inf" not in re.sub(r">[^<]*<", "><", text)


def test_what_people_type_stays_text() -> None:
    text = svg.render(room_plan(odd("nasty")))
    assert "<script" not in text
    assert "<b>" not in text
    assert "\u202e" not in text
    assert "\x07" not in text
    assert "&lt;script&gt;" in text
    assert "Söhne" in text
    assert "<script" not in svg.render(
        day_timeline(date(2026, 6, 21), [TimelineRoom(NASTY, "Europe/London", EventsAnswer())])
    )


def test_svg_stands_under_a_strict_policy() -> None:
    text = svg.render(full())
    root = fromstring(text)
    assert not any(
        "style" in element.attrib or element.tag == f"{SVG}style" or element.tag == f"{SVG}script"
        for element in root.iter()
    )
    assert not any(
        name.startswith("on") or name.endswith("href")
        for element in root.iter()
        for name in element.attrib
    )


def test_inks_follow_the_page_by_day_and_night_or_stand_alone() -> None:
    assert "var(--ink," in svg.render(full())
    alone = svg.render(full(), standalone=True)
    assert "var(" not in alone
    assert svg.INKS["rust"] in alone


def test_inks_are_legible_on_the_ground() -> None:
    # Source: WCAG 2.2, 1.4.3 and its definition of relative luminance: 4.5:1 for text
    def luminance(colour: str) -> float:
        parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for inks in (svg.INKS, pdf.PRINT_INKS):
        for ink in ("ink", "rust", "green"):
            assert (luminance(inks["ground"]) + 0.05) / (luminance(inks[ink]) + 0.05) > 4.5


def test_templates_take_the_svg_as_it_stands() -> None:
    made = svg.render(mark("good"))
    assert made.__html__() == made


def test_pdf_letters_can_be_found_and_the_page_is_as_large_as_the_drawing() -> None:
    drawing = full()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(drawing.width_mm * mm, drawing.height_mm * mm))
    pdf.draw(canvas, drawing, 0.0, 0.0)
    canvas.save()
    text = PdfReader(buffer).pages[0].extract_text()
    for words in ("Long parlour", "1:50", "5.00 m", "W1 2.00", "camera"):
        assert words in text


def test_pdf_letters_go_to_whoever_shapes_them() -> None:
    seen: list[tuple[str, bool, str]] = []
    drawing = room_plan(odd("any script"))
    canvas = Canvas(io.BytesIO())
    pdf.draw(
        canvas,
        drawing,
        0.0,
        0.0,
        draw_text=lambda _canvas, _x, _y, text, _size, bold, anchor: seen.append(
            (text, bold, anchor)
        ),
    )
    assert [text for text, _, _ in seen] == [
        s.text for s in walk(drawing.shapes) if isinstance(s, Text) and s.text
    ]


def test_signs_differ_in_shape_not_only_in_ink() -> None:
    # property: with all inks black they are still five different lists of shapes
    black = {
        level: re.sub(
            r"var\([^)]*\)", "black", re.sub(r"<(title|desc).*?</\1>", "", svg.render(mark(level)))
        )
        for level in LEVELS
    }
    assert len(set(black.values())) == 5
    for level in LEVELS:
        assert mark(level).title == str(Word("level", level))
        assert mark(level).description


def test_a_mark_is_half_filled_for_care_and_struck_through_for_a_problem() -> None:
    # by hand: half of a square of side s is s * s / 2
    care = [s for s in mark("care", 4.0).shapes if isinstance(s, Polygon)]
    half = next(s for s in care if len(s.points) == 3)
    side = math.dist(care[0].points[0], care[0].points[1])
    (x1, y1), (x2, y2), (x3, y3) = half.points
    assert abs((x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)) / 2 == pytest.approx(side * side / 2)
    assert any(isinstance(s, Line) for s in mark("problem").shapes)
    assert all(
        s.fill == "ground" and s.pen is not None and s.pen.dash_mm
        for s in mark("unknown").shapes
        if isinstance(s, Polygon)
    )


def test_group_titles_name_what_they_hold() -> None:
    names = {g.id: g.title for g in full().shapes if isinstance(g, Group)}
    assert names["window-W1"] == "Window W1"
    assert names["letter-A"] == "Wall A is 5.00\u00a0m long"


def test_letters_keep_their_measured_width_in_whatever_font_the_reader_has() -> None:
    # property (SVG 2, 11.4: textLength is the advance the renderer must reach): where each letter's
    # width is known the text is fitted to it,
    # so that a wider font of the reader's cuts nothing off; a width that is only estimated is never
    # forced on a script.
    def written(text: str) -> Any:
        shown = Text((10.0, 10.0), text, 3.0, helvetica_width(text, 3.0))
        return fromstring(svg.render(Drawing(100.0, 20.0, (shown,), "t", "d"))).find(
            f".//{SVG}text"
        )

    latin = written("subject, and the way they face: 2.40 m")
    assert float(latin.get("textLength")) == pytest.approx(
        helvetica_width("subject, and the way they face: 2.40 m", 3.0), abs=0.01
    )
    assert latin.get("lengthAdjust") == "spacingAndGlyphs"
    assert written("غرفة المعيشة").get("textLength") is None
    assert written("A").get("textLength") is None
