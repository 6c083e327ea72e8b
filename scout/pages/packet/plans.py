"""The plans of the packet: the one of a chosen room to set up by, and the small one of a reserve."""

from __future__ import annotations

from dataclasses import replace

from scout.assess.answers import RoomAssessment
from scout.assess.daylight.place.where import facings_of
from scout.assess.setup import Setup
from scout.drawing.lettering import PLAN_PRINT_TEXT_MM
from scout.drawing.plan.light import LightSheet
from scout.drawing.plan.place import PlaceSheet, WhiteLaid
from scout.drawing.plan.placing import place_sheet
from scout.drawing.plan.power import PowerSheet
from scout.drawing.plan.rim import north_of
from scout.drawing.plan.sheet import room_plan
from scout.drawing.plan.sheets import shot_sheet
from scout.drawing.plan.things import PatchHour
from scout.drawing.shapes import Drawing
from scout.packet.setting.text import letter_width
from scout.pages import assessing
from scout.pages.once import once
from scout.records import Marks
from scout.units import Units

PLAN_SCALES = (
    20.0,
    25.0,
    30.0,
    40.0,
    50.0,
    60.0,
    75.0,
    100.0,
    125.0,
    150.0,
    200.0,
    250.0,
    300.0,
    400.0,
    500.0,
    600.0,
    750.0,
)
SMALL_PLAN_MM = (78.0, 64.0)
MOST_PATCHES = 3  # hours of sun on one plan: more cannot be told apart


@once(64)
def place_plan(
    setup: Setup,
    lens_mm: float | None,
    boom_m: tuple[float, float, float] | None,
    units: Units,
    size_mm: tuple[float, float],
) -> Drawing | None:
    """The one plan to set up by, as large as the page carries; None without a measured plan."""
    found = assessing.assessed(setup, in_full=True)
    sheet, marks = found.sheet, setup.sheet.marks or Marks()
    if sheet.room.corners_m is None:
        return None
    patches, white = _patches(setup, found), _white(found)
    working = place_sheet(found, marks.camera, lens_mm, boom_m, patches, white)
    return _drawn(found, working, size_mm, units)


def _white(found: RoomAssessment) -> tuple[WhiteLaid, ...]:
    """The sheets of white that the findings ask for as drawn, each once."""
    asked = {
        act.deed
        for finding in found.findings
        for act in finding.acts
        if act.code in ("lay.white", "stretch.white", "hang.white")
    }
    laid = {}
    for row in found.remedies or ():
        act, cover = row.action.deed, row.cover
        if act in asked and cover is not None:
            lights = dict(act.values).get("lights")
            sides = (cover.from_m, cover.to_m), (cover.low_m, cover.high_m)
            laid[act] = WhiteLaid(cover.surface, *sides, lights)
    return tuple(laid.values())


def _patches(setup: Setup, found: RoomAssessment) -> tuple[PatchHour, ...]:
    """Where the sun falls at full hours of the scene: the first, a middle and the last of those at
    which it comes in.
    """
    if found.timezone is None or setup.hours is None:
        return ()
    start, end = setup.hours
    hours = [
        moment
        for moment in assessing.local_hours(setup.on, found.timezone, tuple(range(24)))
        if start <= moment <= end
    ]
    _, patches = assessing.sun_on_plan(found, hours)
    if len(patches) <= MOST_PATCHES:
        return tuple(patches)
    return (patches[0], patches[len(patches) // 2], patches[-1])


@once(64)
def small_plan(setup: Setup, units: Units) -> Drawing | None:
    """A small plan with the room's own things; None without a measured plan."""
    found = assessing.assessed(setup)
    sheet, marks = found.sheet, setup.sheet.marks or Marks()
    if sheet.room.corners_m is None:
        return None
    shot = shot_sheet(sheet, found.fit, mark_m=marks.camera)
    bare = PlaceSheet(
        sheet.room,
        LightSheet((), None, None, None),
        PowerSheet(sheet.room, (), (), ()),
        replace(shot, lenses=(), bands=(), path=()),
        lettered=False,
    )
    return _drawn(found, bare, SMALL_PLAN_MM, units, dimensions=False)


def _drawn(
    found: RoomAssessment,
    working: PlaceSheet,
    size_mm: tuple[float, float],
    units: Units,
    *,
    dimensions: bool = True,
) -> Drawing:
    sheet = found.sheet
    return room_plan(
        sheet.room,
        location=sheet.location,
        north=north_of(sheet.room, facings_of(sheet, found.date)),
        size_mm=size_mm,
        units=units,
        text_mm=PLAN_PRINT_TEXT_MM,
        text_width=letter_width(),
        working=working,
        scales=PLAN_SCALES,
        legend=False,
        dimensions=dimensions,
    )
