"""The plan of a room with what each surface gives to the bounced light at the subject: bands along
the walls, hatched by share, with figures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from scout.calc.geometry import walls
from scout.drawing import pictograms
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width
from scout.drawing.shapes import Drawing, Group, Hatch, Point, Polygon, Shape, box_of
from scout.records.sheet import Marks, RoomRecord
from scout.values import Figure, Many, Name, Said, Word, said

WIDEST_GAP, NARROWEST_GAP = 1.1, 0.22  # of the letters: a tenth of the light, and all of it
NOTHING = 0.005


def bounce_plan(
    room: RoomRecord,
    shares: Mapping[str, float],
    *,
    what: Name | Said,
    marks: Marks | None = None,
    width_mm: float = 130.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing | None:
    """Bands along the walls, closer hatched the more light they send to the subject; floor and
    ceiling as boxes below. None without a plan.

    shares: part of the bounced light at the subject, 0 to 1, by surface; what: a few words for
        whose light it is
    """
    corners = room.corners_m
    if corners is None:
        return None
    hand = Hand(text_mm, text_width, "metric")
    u = text_mm
    plan = [(float(x), float(y)) for x, y in corners]
    left, bottom, right, top = box_of(plan)
    edge, below = 1.0 * u, 5.0 * u
    mm_per_m = min((width_mm - 2 * edge) / (right - left), 1.2 * width_mm / (top - bottom))
    off = (width_mm - mm_per_m * (right - left)) / 2

    def paper(x: float, y: float) -> Point:
        return off + (x - left) * mm_per_m, below + edge + (y - bottom) * mm_per_m

    height = below + 2 * edge + mm_per_m * (top - bottom)
    band = min(3.0 * u, 0.2 * mm_per_m * min(right - left, top - bottom))
    shapes: list[Shape] = []
    labels: list[Shape] = []
    for wall in walls(plan):
        share = shares.get(wall.letter, 0.0)
        a, b = (paper(float(end[0]), float(end[1])) for end in (wall.start_m, wall.end_m))
        inx, iny = -float(wall.outward[0]) * band, -float(wall.outward[1]) * band
        points = (a, b, (b[0] + inx, b[1] + iny), (a[0] + inx, a[1] + iny))
        shapes.append(
            Group(
                tuple(_patterned(hand, points, share)),
                f"bounce-{wall.letter}",
                str(_share("drawing.bounced", wall.letter, share)),
            )
        )
        middle = ((a[0] + b[0] + inx) / 2, (a[1] + b[1] + iny) / 2)
        words = hand.say(_share("drawing.share", wall.letter, share))
        x, half = middle[0], hand.width(words, bold=True) / 2 + 0.4 * u
        if abs(inx) > abs(
            iny
        ):  # the words on an upright wall stay within the plan's outline, however narrow the band
            x = max(x, (a[0] + b[0]) / 2 + half) if inx > 0 else min(x, (a[0] + b[0]) / 2 - half)
        labels.append(hand.centred((x, middle[1]), words, bold=True, backed=True))
    shapes.append(Polygon(tuple(paper(x, y) for x, y in plan), hand.pen("bold")))
    half = (width_mm - 3 * edge) / 2
    for k, name in enumerate(("ceiling", "floor")):
        share = shares.get(name, 0.0)
        x = edge + k * (half + edge)
        box = ((x, edge / 2), (x + half, edge / 2), (x + half, below - edge), (x, below - edge))
        words = hand.say(_share("drawing.share", name, share))
        shapes.append(
            Group(
                tuple(_patterned(hand, box, share)),
                f"bounce-{name}",
                str(_share("drawing.bounced", name, share)),
            )
        )
        labels.append(
            hand.centred((x + half / 2, (below - edge / 2) / 2), words, bold=True, backed=True)
        )
    if marks is not None:
        for symbol, place in (("subject", marks.subject), ("camera", marks.camera)):
            if place is not None:
                at = paper(place[0], place[1])
                made = (
                    pictograms.person(hand, at, 0.8 * u, None)
                    if symbol == "subject"
                    else pictograms.camera(hand, at, 0.8 * u, None)
                )
                shapes.append(Group(tuple(made), symbol, f"{Word('mark', symbol):cap}"))
    title = said("drawing.bounce_plan", light=what)
    ranked = sorted(shares.items(), key=lambda pair: -pair[1])
    listed = Many(tuple(_share("drawing.bounced", name, share) for name, share in ranked), "list")
    return Drawing(
        width_mm,
        height,
        (*shapes, *labels),
        str(title),
        str(said("drawing.bounce_words", title=title, shares=listed)),
    )


def _patterned(hand: Hand, points: tuple[Point, ...], share: float) -> list[Shape]:
    u = hand.text_mm
    made: list[Shape] = [Polygon(points, replace(hand.pen("fine"), ink="ink"))]
    if share > NOTHING:
        gap = u * max(NARROWEST_GAP, WIDEST_GAP - (WIDEST_GAP - NARROWEST_GAP) * share)
        made.append(Hatch(points, 45.0, gap, hand.pen("thin", "rust")))
    return made


def _share(code: str, surface: str, share: float) -> Said:
    percent = Figure(100.0 * share, "%") if share >= NOTHING else said("drawing.under_one_percent")
    return Said(code, (("surface", Word("surface", surface)), ("share", percent)))
