"""Bounced light of a room as its page shows it: findings, surfaces, every bounce, both sides of the
face, remedies, mixed light.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from scout.assess.answers import Finding, RoomAssessment
from scout.assess.bounce.picture import LightLook, SurfaceLook, light_looks, surface_looks
from scout.assess.setup import Setup
from scout.calc.geometry import WALL_LETTERS
from scout.drawing.lettering import SCREEN_WIDE_MM
from scout.drawing.plan.bounce import WhiteCloth, bounce_plan
from scout.drawing.shapes import Drawing
from scout.pages import assessing
from scout.pages.medium import Medium
from scout.pages.once import once
from scout.usecases.work import Work
from scout.values import Name, Said, Word, said

SCREEN_MM, PACKET_MM = SCREEN_WIDE_MM, 62.0  # beside the remedies


@dataclass(frozen=True)
class BouncePage:
    """What the bounce page of a room shows."""

    found: RoomAssessment
    findings: tuple[Finding, ...]  # of colour, worst first
    surfaces: tuple[SurfaceLook, ...]
    surfaces_unknown: Any  # why there are none
    looks: tuple[LightLook, ...]
    plan: Drawing | None

    def look(self, light: str, target: str) -> LightLook | None:
        """The patches of one light by one way."""
        return next((one for one in self.looks if (one.light, one.target) == (light, target)), None)


def bounce_page(
    work: Work,
    room_id: int,
    on: date,
    *,
    at: datetime | None = None,
    production_id: int | None = None,
    scene_id: int | None = None,
) -> BouncePage:
    """Everything said of a room's bounced light, as a scene uses the room. Raises NotFound."""
    setup = assessing.setup_of(work, room_id, on, production_id=production_id, scene_id=scene_id)
    found, looks = _looked(setup, at)
    surfaces = surface_looks(setup.sheet)
    closed = surfaces if isinstance(surfaces, Said) else None
    return BouncePage(
        found,
        tuple(one for one in found.findings if one.topic == "colour"),
        () if isinstance(surfaces, Said) else surfaces,
        closed,
        looks,
        _plan(looks, found, Medium(), SCREEN_MM),
    )


@once(16)
def _looked(setup: Setup, at: datetime | None) -> tuple[RoomAssessment, tuple[LightLook, ...]]:
    found = assessing.assessed(setup, at, True)
    return found, light_looks(setup.sheet, found.placements, found.bounce, found.surround)


def for_packet(found: RoomAssessment) -> Drawing | None:
    """The small plan of where the light of the shadow side comes from, for paper; None where it is
    not known.
    """
    rows = tuple(row for row in found.surround if row.side == "shadow")
    return _plan(
        light_looks(found.sheet, found.placements, (), rows),
        found,
        Medium(for_print=True),
        PACKET_MM,
    )


def _plan(
    looks: Sequence[LightLook],
    found: RoomAssessment,
    medium: Medium,
    width_mm: float,
) -> Drawing | None:
    """Where the first light known on the shadow side comes from, and where white would mend it."""
    fill = next((look for look in looks if look.target == "shadow" and look.shares), None)
    if fill is None:
        return None
    shares = {
        name: share
        for name, share in fill.shares.items()
        if name in ("floor", "ceiling", *WALL_LETTERS)
    }
    what = said("bounce.on_shadow_side", light=Name(fill.light))
    return bounce_plan(
        found.sheet.room,
        shares,
        what=what,
        marks=found.sheet.marks,
        white=_white(found, fill.light),
        width_mm=width_mm,
        **medium.letters,
    )


def _white(found: RoomAssessment, light: str) -> tuple[WhiteCloth, ...]:
    """The cloths of the fixes for a light's shadow side."""
    covers = (
        row.cover
        for row in found.remedies or ()
        if row.light == light and row.target == Word("side", "shadow")
    )
    return tuple(
        WhiteCloth(cover.surface, (cover.from_m, cover.to_m), (cover.low_m, cover.high_m))
        for cover in covers
        if cover is not None
    )
