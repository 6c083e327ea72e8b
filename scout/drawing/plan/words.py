"""The plan in words: the text alternative that says the same facts as the drawing."""

from __future__ import annotations

from collections.abc import Sequence

from scout.assess.answers import Placement
from scout.calc.geometry import facing_deg, wall_number, walls
from scout.drawing.lettering import clip, tidy
from scout.drawing.plan.rim import North, SunBearing
from scout.drawing.plan.things import PatchHour, high_words, lit_thing, outlet_words
from scout.drawing.plan.walls import lies_over, unplaced
from scout.records.sheet import Door, Marks, RoomRecord, SheetLocation, Window
from scout.values import Figure, Many, Name, Said, Value, Word, said
from scout.words.figures import Words, room_name

NAME_MOST = (
    60.0  # widths of an average letter or so; a name in the words is clipped as on the drawing
)


def clipped(text: str) -> str:
    """A name no longer than a drawing takes."""
    return clip(text, NAME_MOST, 1.6)


def plan_title(room: RoomRecord, location: SheetLocation | None) -> Said:
    """What the drawing is, in one line."""
    place = clipped(location.name) if location is not None and location.name else None
    name = room_name(clipped(room.name) if room.name else None)
    return said("drawing.plan", room=name, place=Name(place) if place else None)


def plan_description(
    room: RoomRecord,
    location: SheetLocation | None,
    marks: Marks | None,
    placements: Sequence[Placement],
    north: North | None,
    sun: Sequence[SunBearing],
    patches: Sequence[PatchHour],
) -> list[Words]:
    """Every fact that the plan shows, a message each."""
    made: list[Words] = [plan_title(room, location)]
    corners = room.corners_m
    if corners is None:
        made.append(said("drawing.no_plan"))
    elif room.plan_m is None and room.width_m is not None and room.length_m is not None:
        width, length = Figure(room.width_m, "m"), Figure(room.length_m, "m")
        made.append(said("drawing.rectangle", width=width, length=length))
    elif room.setting == "exterior":
        made.append(said("drawing.edges", n=len(corners)))
    else:
        made.append(said("drawing.walls", n=len(corners)))
    if room.setting != "exterior":
        height = said("value.unmeasured")
        made.append(
            said(
                "drawing.room_height",
                height=height if room.height_m is None else Figure(room.height_m, "m"),
            )
        )
    made += _walls(room, north)
    made += _things(room, marks, placements)
    if corners is not None:
        made += unplaced(room)
    if north is None:
        made.append(said("drawing.north_unknown"))
    elif not north.true:
        made.append(north.looks)
    if sun and north is not None and north.true:
        stands = Many(tuple(one.stands for one in sun), "list")
        made.append(said("drawing.sun_at", what=stands))
    for hour in patches:
        lit = sorted({patch.surface for window in hour.windows for patch in window.patches})
        at = Name(tidy(hour.label))
        if lit:
            surfaces = Many(tuple(lit_thing(surface) for surface in lit))
            made.append(said("drawing.sun_falls", at=at, surfaces=surfaces))
        else:
            made.append(said("drawing.no_sun_in", at=at))
    return made


def _walls(room: RoomRecord, north: North | None) -> list[Said]:
    corners = room.corners_m
    found = walls(corners) if corners is not None else ()
    facing: dict[str, float] = {}
    if north is not None and north.true and found and wall_number(north.wall) < len(found):
        facing = {
            wall.letter: float(deg) % 360.0
            for wall, deg in zip(
                found,
                facing_deg(corners, wall_number(north.wall), north.bearing_deg),  # type: ignore[arg-type]
                strict=True,
            )
        }
    openings: list[Window | Door] = [*(room.windows or ()), *(room.doors or ())]
    letters = [wall.letter for wall in found] or sorted(
        {opening.wall for opening in openings}, key=wall_number
    )
    lengths = {wall.letter: wall.length_m for wall in found}
    made = []
    for letter in letters:
        held = tuple(_opening(room, one) for one in openings if one.wall == letter)
        length, faces = lengths.get(letter), facing.get(letter)
        wall: Value = (
            said("drawing.edge", edge=Name(letter))
            if room.setting == "exterior"
            else Word("surface", letter)
        )
        made.append(
            said(
                "drawing.wall",
                wall=wall,
                length=None if length is None else Figure(length, "m"),
                faces=None if faces is None else Figure(faces, "deg"),
                openings=Many(held) if held else None,
            )
        )
    return made


def _opening(room: RoomRecord, one: Window | Door) -> Said:
    name = Name(tidy(one.id))
    width = None if one.width_m is None else Figure(one.width_m, "m")
    offset = None if one.offset_m is None else Figure(one.offset_m, "m")
    if isinstance(one, Window):
        lower = lies_over(room, one)
        over = None if lower is None else Name(tidy(lower.id))
        return said("drawing.window_at", opening=name, width=width, offset=offset, over=over)
    return said("drawing.door_at", opening=name, width=width, offset=offset)


def _things(room: RoomRecord, marks: Marks | None, placements: Sequence[Placement]) -> list[Said]:
    made = []
    for outlet in room.outlets or ():
        if outlet.wall is not None and outlet.offset_m is not None:
            wall, offset = Word("surface", outlet.wall), Figure(outlet.offset_m, "m")
            made.append(
                said("drawing.outlet_at", outlet=outlet_words(outlet), wall=wall, offset=offset)
            )
    for block in room.furniture or ():
        if block.at_m is not None and block.width_m is not None and block.depth_m is not None:
            made.append(
                said(
                    "drawing.block_at",
                    block=Name(tidy(block.id)),
                    width=Figure(block.width_m, "m"),
                    depth=Figure(block.depth_m, "m"),
                    high=high_words(block),
                    place=place_words(block.at_m),
                )
            )
    made += [
        said(
            "drawing.stands_at",
            what=said("drawing.practical", lamp=Name(tidy(lamp.id))),
            place=place_words(lamp.at_m),
        )
        for lamp in room.practicals or ()
        if lamp.at_m is not None
    ]
    if marks is not None:
        for name, at in (("subject", marks.subject), ("camera", marks.camera)):
            if at is not None:
                mark = Word("mark", name)
                made.append(said("drawing.stands_at", what=mark, place=place_words(at)))
        for number, other in enumerate(marks.others or (), start=2):
            called = said("drawing.person", n=number)
            made.append(said("drawing.stands_at", what=called, place=place_words(other)))
        if marks.path:
            first, last = (place_words(marks.path[end]) for end in (0, -1))
            made.append(said("drawing.walks", first=first, last=last))
    for placement in placements:
        light, source = Name(tidy(placement.light)), Word("source", placement.source)
        what = said("drawing.light", light=light, source=source)
        made.append(said("drawing.stands_at", what=what, place=place_words(placement.at_m)))
    return made


def place_words(place: Sequence[float]) -> Said:
    """`1.20 m across and 3.00 m up the plan`."""
    across, up = (Figure(float(one), "m") for one in place[:2])
    return said("drawing.place", across=across, up=up)
