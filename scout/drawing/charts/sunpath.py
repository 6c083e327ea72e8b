"""The sky over a room as a disc: the sun's way on a date, each window as the patch of sky seen from
a mark, and the skyline.

The zenith is in the middle and the level horizon on the rim, equal steps of elevation at equal
distances. The disc lies as the
plan of the room lies, so that a window on the right of the plan is on the right here; bearings are
from true north.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from itertools import pairwise

from scout.assess.answers import Interval
from scout.assess.daylight.sun.sky import Direction, SkyOfRoom, SkyPatch, SunWay, WindowOnSky
from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.charts.parts import heading, legend, not_known
from scout.drawing.charts.ruler import unix_s
from scout.drawing.lettering import (
    PRINT_TEXT_MM,
    Hand,
    TextWidth,
    clip,
    helvetica_width,
    tidy,
)
from scout.drawing.plan.rim import CARDINALS
from scout.drawing.shapes import (
    Circle,
    Drawing,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Shape,
    bounds,
    moved,
    rectangle,
)
from scout.values import Figure, Many, Name, Said, Word, said
from scout.words import say
from scout.words.figures import mark_name, paragraph, spell_list

RINGS = (0, 15, 30, 45, 60, 75)
NEAR_DAYS = 12
SPAN_DEG = 4.0  # longest piece of a curve drawn as one stroke


class Disc:
    """Where directions of the sky stand on the paper."""

    def __init__(self, radius_mm: float, up_deg: float) -> None:
        self.radius_mm, self.up_deg = radius_mm, up_deg

    def at(self, bearing_deg: float, elevation_deg: float) -> Point:
        """A direction on the paper; below the level it is held to the rim."""
        far = self.radius_mm * (1.0 - min(max(elevation_deg, 0.0), 90.0) / 90.0)
        turn = math.radians(bearing_deg - self.up_deg)
        return far * math.sin(turn), far * math.cos(turn)

    def beyond(self, bearing_deg: float, out_mm: float) -> Point:
        """A point out_mm outside the rim."""
        turn = math.radians(bearing_deg - self.up_deg)
        return (self.radius_mm + out_mm) * math.sin(turn), (self.radius_mm + out_mm) * math.cos(
            turn
        )


def sun_path(
    name: str,
    sky: SkyOfRoom,
    *,
    reaching: Sequence[Interval] = (),
    width_mm: float = 120.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing:
    """The sun-path diagram of a room for one mark and date.

    reaching: when the sun itself reaches the mark, drawn as the heavy part of its way
    """
    hand, u = Hand(text_mm, text_width), text_mm
    room = Name(clip(name, 60.0, 1.6))
    title = str(said("drawing.sun_over", room=room, mark=mark_name(sky.mark), on=sky.on))
    if sky.unknown is not None or sky.way is None:
        return not_known(hand, width_mm, title, sky.unknown or said("drawing.no_place"))
    board = Board(hand)
    disc = Disc(width_mm / 2 - 3.6 * u, sky.up_deg or 0.0)
    _rings(board, disc)
    _skyline(board, disc, sky.skyline)
    for window in sky.windows:
        _window(board, disc, window)
    others = [
        other for other in sky.others if abs((other.on - sky.on).days) > NEAR_DAYS
    ]  # else both lines run into one
    for other in others:
        _other_way(board, disc, other)
    _way(board, disc, sky.way, reaching)
    _rim(board, disc, sky)
    for window in sky.windows:
        _name(board, disc, window)
    for other in others:
        _date_of(board, disc, other)
    for ring in RINGS[1:]:
        choices = [
            hand.centred(disc.at(disc.up_deg + turn, ring), f"{ring}°", size=0.9, backed=True)
            for turn in (45, -45, 135, -135, 20, -20, 70, -70)
        ]
        board.place(choices, over=True)
    shapes: list[Shape] = [*board.shapes, *board.over]
    box = bounds(shapes)
    dx = (width_mm - (box[2] - box[0])) / 2 - box[0]
    shapes = [moved(shape, dx, 0.0) for shape in shapes]
    below, foot = _legend(hand, width_mm, box[1] - 1.8 * u, sky, bool(reaching))
    heads, top = heading(hand, width_mm, title, box[3] + 1.0 * u)
    edge = 0.3 * u
    placed = tuple(moved(shape, 0.0, edge - foot) for shape in (*shapes, *below, *heads))
    return Drawing(
        width_mm, top - foot + 2 * edge, placed, title, paragraph(title, *_words(sky, reaching))
    )


def _rings(board: Board, disc: Disc) -> None:
    hand = board.hand
    board.add(Circle((0.0, 0.0), disc.radius_mm, hand.pen("medium")))
    for ring in RINGS[1:]:
        board.add(
            Circle(
                (0.0, 0.0),
                disc.radius_mm * (1 - ring / 90.0),
                hand.pen("hair", dash=(0.12, 0.4) if ring % 30 else ()),
            )
        )
    for bearing in range(0, 360, 10):
        inner = 0.0 if bearing % 90 == 0 else 2.0 if bearing % 30 == 0 else 0.0
        if bearing % 90 == 0:
            board.add(
                Line(
                    disc.at(bearing, 88.0),
                    disc.at(bearing, 0.0),
                    hand.pen("hair", dash=(0.12, 0.4)),
                )
            )
        board.add(
            Line(
                disc.at(bearing, 0.0),
                disc.beyond(bearing, (0.35 + 0.15 * inner) * hand.text_mm),
                hand.pen("hair"),
            )
        )


def elevation_in(skyline: Sequence[Direction], bearing_deg: float) -> float:
    """The skyline's elevation in a direction: straight between points in order of bearing, on
    through north; one point stands all round.
    """
    if len(skyline) == 1:
        return skyline[0][1]
    b = bearing_deg % 360.0
    round_about = [
        (skyline[-1][0] - 360.0, skyline[-1][1]),
        *skyline,
        (skyline[0][0] + 360.0, skyline[0][1]),
    ]
    for (b0, h0), (b1, h1) in pairwise(round_about):
        if b0 <= b <= b1:
            return h0 if b1 - b0 < 1e-9 else h0 + (h1 - h0) * (b - b0) / (b1 - b0)
    return skyline[0][1]


def _bearings(start: float, end: float, corners: Sequence[Direction]) -> list[float]:
    """Bearings from start to end close enough for a smooth line, with the skyline's own corners
    among them.
    """
    count = max(2, math.ceil((end - start) / SPAN_DEG) + 1)
    even = [start + (end - start) * k / (count - 1) for k in range(count)]
    own = [b + turn for b, _ in corners for turn in (-360.0, 0.0, 360.0) if start < b + turn < end]
    return sorted({*even, *own, *(b - 1e-4 for b in own if b - 1e-4 > start)})


def _skyline(board: Board, disc: Disc, skyline: Sequence[Direction] | None) -> None:
    """What stands round the whole place, hatched from the rim up."""
    if not skyline:
        return
    u = board.hand.text_mm
    bearings = _bearings(0.0, 360.0, skyline)
    edge = [(b, max(0.0, elevation_in(skyline, b))) for b in bearings]
    ring = tuple(disc.at(b, h) for b, h in edge)
    pieces: list[Shape] = []
    for (b0, h0), (b1, h1) in pairwise(edge):
        if max(h0, h1) > 0.01:
            pieces.append(
                Hatch(
                    (disc.at(b0, 0), disc.at(b1, 0), disc.at(b1, h1), disc.at(b0, h0)),
                    45.0,
                    0.55 * u,
                    board.hand.pen("hair"),
                )
            )
    board.group(
        [*pieces, Polyline(ring, board.hand.pen("thin"))],
        "skyline",
        said("drawing.skyline"),
        "skyline",
    )


def _patch_points(disc: Disc, patch: SkyPatch) -> tuple[Point, ...]:
    return tuple(disc.at(b, h) for b, h in (*patch.low, *reversed(patch.high)))


def _window(board: Board, disc: Disc, window: WindowOnSky) -> None:
    hand, u = board.hand, board.hand.text_mm
    shapes: list[Shape] = []
    for patch in window.patches:
        if max(h for _, h in patch.high) <= 0:
            continue
        points = _patch_points(disc, patch)
        shapes.append(Polygon(points, None, "ground"))
        shapes.append(Polygon(points, hand.pen("bold")))
        if window.skyline:
            tops = _hidden(patch, window.skyline)
            for low, high in tops:
                shapes.append(
                    Hatch(
                        tuple(disc.at(b, h) for b, h in (*low, *reversed(high))),
                        45.0,
                        0.45 * u,
                        hand.pen("fine"),
                    )
                )
                shapes.append(Polyline(tuple(disc.at(b, h) for b, h in high), hand.pen("thin")))
    if shapes:
        board.group(
            shapes,
            f"window-{window.id}",
            said("drawing.window_seen", window=Name(tidy(window.id))),
            "window",
        )


def _hidden(
    patch: SkyPatch, skyline: Sequence[Direction]
) -> list[tuple[list[Direction], list[Direction]]]:
    """The parts of a window's view under the skyline, each as its lower and upper edge."""
    runs: list[tuple[list[Direction], list[Direction]]] = []
    open_run = False
    start, end = patch.low[0][0], patch.low[-1][0]
    for b in _bearings(start, end, skyline):
        low, high = _between(patch.low, b), _between(patch.high, b)
        hides = elevation_in(skyline, b)
        if hides <= max(low, 0.0) or high <= 0:
            open_run = False
            continue
        if not open_run:
            runs.append(([], []))
            open_run = True
        runs[-1][0].append((b, low))
        runs[-1][1].append((b, min(high, hides)))
    return [run for run in runs if len(run[0]) > 1]


def _between(edge: Sequence[Direction], bearing: float) -> float:
    for (b0, h0), (b1, h1) in pairwise(edge):
        if b0 <= bearing <= b1:
            return h0 if b1 - b0 < 1e-12 else h0 + (h1 - h0) * (bearing - b0) / (b1 - b0)
    return edge[0][1] if bearing < edge[0][0] else edge[-1][1]


def _name(board: Board, disc: Disc, window: WindowOnSky) -> None:
    """The window's letters beside its patch, or within it."""
    hand, u = board.hand, board.hand.text_mm
    shown = [patch for patch in window.patches if max(h for _, h in patch.high) > 0]
    if not shown:
        return
    patch = max(shown, key=lambda p: p.low[-1][0] - p.low[0][0])
    middle = patch.low[len(patch.low) // 2][0]
    low, high = max(0.0, _between(patch.low, middle)), _between(patch.high, middle)
    half = hand.width(window.id, 0.95, bold=True) / 2 + 0.4 * u
    sides = [disc.at(b, (low + high) / 2) for b in (patch.low[0][0], patch.low[-1][0])]
    spots = [
        disc.at(middle, high + 5.0),
        disc.at(middle, (low + high) / 2),
        *((x + math.copysign(half, x), y) for x, y in sides),
        disc.at(middle, high + 10.0),
    ]
    board.place(
        [hand.centred(spot, window.id, size=0.95, bold=True, backed=True) for spot in spots],
        over=True,
    )


def _runs(way: SunWay, keep: Sequence[bool]) -> list[list[int]]:
    runs: list[list[int]] = []
    for k, kept in enumerate(keep):
        if not kept:
            continue
        if runs and runs[-1][-1] == k - 1 and way.at_s[k] - way.at_s[k - 1] < 1800.0:
            runs[-1].append(k)
        else:
            runs.append([k])
    return runs


def _other_way(board: Board, disc: Disc, way: SunWay) -> None:
    """A solstice or an equinox, thin."""
    up = [h > 0 for _, h in way.points]
    pen = board.hand.pen("hair", dash=(0.6, 0.3))
    for run in _runs(way, up):
        if len(run) > 1:
            board.add(Polyline(tuple(disc.at(*way.points[k]) for k in run), pen))


def _date_of(board: Board, disc: Disc, way: SunWay) -> None:
    """The date beside the highest point of its way."""
    if any(h > 0 for _, h in way.points):
        top = max(way.points, key=lambda point: point[1])
        words = say(way.on, "short")
        spots = [
            disc.at(top[0] + turn, h)
            for turn, h in ((0, top[1] - 2), (25, top[1] - 6), (-25, top[1] - 6), (0, top[1] + 4))
        ]
        board.place(
            [board.hand.centred(spot, words, size=0.9, backed=True) for spot in spots], over=True
        )


def _way(board: Board, disc: Disc, way: SunWay, reaching: Sequence[Interval]) -> None:
    hand, u = board.hand, board.hand.text_mm
    up = [h > 0 for _, h in way.points]
    shapes: list[Shape] = [
        Polyline(tuple(disc.at(*way.points[k]) for k in run), hand.pen("thin", "rust"))
        for run in _runs(way, up)
        if len(run) > 1
    ]
    spells = [(unix_s(start), unix_s(end)) for start, end in reaching]
    lit = [
        above and any(start - 150.0 <= at <= end + 150.0 for start, end in spells)
        for above, at in zip(up, way.at_s, strict=True)
    ]
    for run in _runs(way, lit):
        points = tuple(disc.at(*way.points[k]) for k in run)
        shapes.append(
            Polyline(points, hand.pen("thick", "rust"))
            if len(points) > 1
            else Circle(points[0], 0.5 * u, hand.pen("bold", "rust"))
        )
    board.group(shapes, "sun-way", said("drawing.sun_path"), "way")
    for label, (bearing, height) in way.hours:
        if height > 0:
            at = disc.at(bearing, height)
            dot = Circle(at, 0.3 * u, hand.pen("fine", "rust"), "rust")
            board.group(
                (dot,),
                f"sun-{label}",
                said("drawing.sun_at", what=_stands(label, bearing, height)),
            )
            board.take_round(at, 0.3 * u)
    for label, (bearing, height) in way.hours:
        if height > 0:
            board.label(disc.at(bearing, height), 0.2 * u, label, size=0.9)


def _rim(board: Board, disc: Disc, sky: SkyOfRoom) -> None:
    hand, u = board.hand, board.hand.text_mm
    for letter, bearing in sky.walls:
        at = disc.beyond(bearing, 2.3 * u)
        if board.free([rectangle(at[0] - u, at[1] - u, at[0] + u, at[1] + u)])[0]:
            board.group(
                pictograms.lettered_circle(hand, at, letter),
                f"wall-{letter}",
                said(
                    "drawing.out_through",
                    wall=Word("surface", letter),
                    bearing=Figure(bearing, "deg"),
                ),
                "letter",
            )
            board.take_round(at, u)
    for bearing, letter in CARDINALS.items():
        board.place(
            [
                hand.centred(disc.beyond(bearing + turn, out * u), letter, bold=True)
                for out, turn in ((1.2, 0), (1.2, 3), (1.2, -3), (2.6, 0))
            ]
        )
    for bearing in range(30, 360, 30):
        if bearing not in CARDINALS:
            board.place(
                [
                    hand.centred(disc.beyond(bearing + turn, 1.5 * u), f"{bearing:03d}°", size=0.9)
                    for turn in (0, 2.5, -2.5)
                ]
            )


def _legend(
    hand: Hand, width_mm: float, top: float, sky: SkyOfRoom, lit: bool
) -> tuple[list[Shape], float]:
    skyline = sky.skyline or any(window.skyline for window in sky.windows)
    rows = (
        ("way", True, said("legend.way")),
        ("lit", lit, said("legend.lit")),
        ("window", any(window.patches for window in sky.windows), said("legend.window")),
        ("skyline", skyline, said("legend.skyline")),
        ("other", True, said("legend.other")),
        ("letter", sky.up_deg is not None, said("legend.letter")),
    )
    shown = [(partial(_sample, hand, kind), words) for kind, there, words in rows if there]
    return legend(hand, width_mm, top, shown, _notes(sky))


def _sample(hand: Hand, kind: str, x: float, y: float) -> Sequence[Shape]:
    u = hand.text_mm
    box = rectangle(x, y - 0.5 * u, x + 2 * u, y + 0.5 * u)
    ends = (x, y), (x + 2.0 * u, y)
    if kind == "way":
        return Line(*ends, hand.pen("thin", "rust")), Circle(
            (x + u, y), 0.3 * u, hand.pen("fine", "rust"), "rust"
        )
    if kind == "lit":
        return (Line(*ends, hand.pen("thick", "rust")),)
    if kind == "window":
        return (Polygon(box, hand.pen("bold")),)
    if kind == "skyline":
        return Hatch(box, 45.0, 0.45 * u, hand.pen("fine")), Line(
            (x, y + 0.5 * u), (x + 2 * u, y + 0.5 * u), hand.pen("thin")
        )
    if kind == "other":
        return (Line(*ends, hand.pen("hair", dash=(0.6, 0.3))),)
    return pictograms.lettered_circle(hand, (x + u, y), "A")


def _stands(label: str, bearing: float, height: float) -> Said:
    across, up = Figure(bearing % 360.0, "deg"), Figure(height, "deg")
    return said("drawing.sun_high", hour=Name(label), bearing=across, height=up)


def _notes(sky: SkyOfRoom) -> list[Said]:
    notes = [
        said("drawing.window_unknown", window=Name(window.id), why=window.unknown)
        for window in sky.windows
        if window.unknown
    ]
    notes += [
        said("drawing.no_sky_in", window=Name(window.id))
        for window in sky.windows
        if window.patches and (window.to_elevation_deg or 0.0) <= 0
    ]
    return [*notes, said("drawing.north_up")] if sky.up_deg is None else notes


def _words(sky: SkyOfRoom, reaching: Sequence[Interval]) -> list[Said]:
    made = []
    if sky.way is not None:
        seen = tuple(_stands(label, *at) for label, at in sky.way.hours if at[1] > 0)
        stands = said("drawing.sun_at", what=Many(seen, "list"))
        made.append(stands if seen else said("drawing.sun_never_up"))
    for window in sky.windows:
        if window.patches:
            start, end, across, low, high = (
                Figure(value or 0.0, "deg")
                for value in (
                    window.patches[0].low[0][0] % 360.0,
                    window.patches[-1].low[-1][0] % 360.0,
                    window.across_deg,
                    window.from_elevation_deg,
                    window.to_elevation_deg,
                )
            )
            made.append(
                said(
                    "drawing.window_spans",
                    window=Name(tidy(window.id)),
                    start=start,
                    end=end,
                    across=across,
                    low=low,
                    high=high,
                )
            )
    made += _notes(sky)
    if sky.skyline:
        bearing, height = (Figure(at, "deg") for at in max(sky.skyline, key=lambda row: row[1]))
        made.append(said("drawing.skyline_highest", bearing=bearing, height=height))
    if reaching:
        made.append(said("drawing.sun_reaches_from", spells=spell_list(reaching)))
    return made
