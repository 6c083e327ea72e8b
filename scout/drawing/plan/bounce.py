"""The plan of a room with what each surface gives to the bounced light at the subject: bands along
the walls, hatched by share, with figures.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from scout.calc.geometry import walls
from scout.drawing import pictograms
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width
from scout.drawing.shapes import Drawing, Group, Hatch, Line, Point, Polygon, Shape, box_of
from scout.records.sheet import Marks, RoomRecord
from scout.values import Figure, Many, Name, Said, Word, said

WIDEST_GAP, NARROWEST_GAP = 1.1, 0.22  # of the letters: a tenth of the light, and all of it
NOTHING = 0.005


@dataclass(frozen=True)
class WhiteCloth:
    """A cloth on a wall, from its left end and from the floor; on floor and ceiling by x and y."""

    surface: str
    along_m: tuple[float, float]
    across_m: tuple[float, float]


def bounce_plan(
    room: RoomRecord,
    shares: Mapping[str, float],
    *,
    what: Name | Said,
    marks: Marks | None = None,
    white: Sequence[WhiteCloth] = (),
    width_mm: float = 130.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing | None:
    """Bands along the walls, closer hatched the more light they send to the subject; floor and
    ceiling as boxes below. None without a plan.

    shares: part of the bounced light at the subject, 0 to 1, by surface; what: a few words for
        whose light it is; white: cloths that would mend it
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
    for cloth in white:
        shapes.append(
            Group(
                tuple(_cloth(hand, cloth, plan, paper, band)),
                f"white-{cloth.surface}",
                _told(cloth),
            )
        )
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
    cloths = Many(tuple(Name(_told(cloth)) for cloth in white), "list") or None
    return Drawing(
        width_mm,
        height,
        (*shapes, *labels),
        str(title),
        str(said("drawing.bounce_words", title=title, shares=listed, white=cloths)),
    )


def _cloth(
    hand: Hand,
    cloth: WhiteCloth,
    plan: list[tuple[float, float]],
    paper: Callable[[float, float], Point],
    band: float,
) -> list[Shape]:
    """A cloth on a wall: a strong line along the inner edge of its band, with ticks at its ends; on
    floor and ceiling its outline, dashed.
    """
    (start, end), (low, high) = cloth.along_m, cloth.across_m
    if cloth.surface in ("floor", "ceiling"):
        ring = ((start, low), (end, low), (end, high), (start, high))
        return [Polygon(tuple(paper(x, y) for x, y in ring), hand.pen("bold", "green", (1.0, 0.6)))]
    wall = next(wall for wall in walls(plan) if wall.letter == cloth.surface)
    out_x, out_y = float(wall.outward[0]), float(wall.outward[1])
    made: list[Shape] = []
    ends = []
    for offset in (start, end):
        x, y = paper(*(float(part) for part in wall.point(offset)[:2]))
        inner = (x - out_x * band, y - out_y * band)
        ends.append(inner)
        made.append(Line((x, y), inner, hand.pen("fine", "green")))
    made.append(Line(ends[0], ends[1], hand.pen("bold", "green")))
    return made


def _told(cloth: WhiteCloth) -> str:
    (start, end), (low, high) = (
        (Figure(one, "m"), Figure(other, "m")) for one, other in (cloth.along_m, cloth.across_m)
    )
    surface = Word("surface", cloth.surface)
    if cloth.surface in ("floor", "ceiling"):
        sides = (Figure(end.value - start.value, "m"), Figure(high.value - low.value, "m"))
        return str(said("drawing.white_level", surface=surface, width=sides[0], depth=sides[1]))
    return str(said("drawing.white", surface=surface, start=start, end=end, low=low, high=high))


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
