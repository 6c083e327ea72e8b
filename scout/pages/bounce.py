"""Bounced light of a room as its page shows it: findings, surfaces, every bounce, both sides of the
face, remedies, mixed light.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from scout.assess.answers import Finding, RoomAssessment
from scout.assess.bounce.picture import LightLook, SurfaceLook, light_looks, surface_looks
from scout.assess.sound.ring import MeasuredRing
from scout.drawing.lettering import PRINT_TEXT_MM, SCREEN_TEXT_MM, TextWidth, helvetica_width
from scout.drawing.plan.bounce import bounce_plan
from scout.drawing.shapes import Drawing
from scout.packet.setting.text import letter_width
from scout.pages import assessing
from scout.records.sheet import RoomSheet
from scout.usecases.work import Work
from scout.values import Said

PACKET_MM = 62.0  # beside the remedies


@dataclass(frozen=True)
class BouncePage:
    """What the bounce page of a room shows. `surfaces` may be the reason why there are none."""

    found: RoomAssessment
    findings: tuple[Finding, ...]  # of colour, worst first
    surfaces: tuple[SurfaceLook, ...] | Said
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
) -> BouncePage:
    """Everything said of a room's bounced light, with the kit of a production (None: the newest it
    is proposed for). Raises NotFound.
    """
    production_id = (
        production_id if production_id is not None else assessing.production_of(work, room_id)
    )
    sheet = assessing.sheet(work, room_id, production_id)
    return _page(
        json.dumps(sheet.plain(), sort_keys=True), on, at, assessing.ring_of(work, room_id)
    )


@lru_cache(maxsize=16)
def _page(sheet_text: str, on: date, at: datetime | None, ring: MeasuredRing | None) -> BouncePage:
    sheet = RoomSheet.model_validate_json(sheet_text)
    found = assessing.assessed(sheet_text, on, at, True, ring)
    looks = light_looks(sheet, found.placements, found.bounce, found.surround)
    return BouncePage(
        found,
        tuple(one for one in found.findings if one.topic == "colour"),
        surface_looks(sheet),
        looks,
        _plan(sheet, looks),
    )


def for_packet(sheet: RoomSheet, found: RoomAssessment) -> Drawing | None:
    """The small plan of where the light of the shadow side comes from, for paper; None where it is
    not known.
    """
    rows = tuple(row for row in found.surround if row.side == "shadow")
    return _plan(
        sheet,
        light_looks(sheet, found.placements, (), rows),
        width_mm=PACKET_MM,
        text_mm=PRINT_TEXT_MM,
        text_width=letter_width(),
    )


def _plan(
    sheet: RoomSheet,
    looks: Sequence[LightLook],
    *,
    width_mm: float = 130.0,
    text_mm: float = SCREEN_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing | None:
    """Where the first light known on the shadow side comes from."""
    fill = next((look for look in looks if look.target == "shadow" and look.shares), None)
    if fill is None:
        return None
    shares = {
        name: share
        for name, share in fill.shares.items()
        if len(name) == 1 or name in ("floor", "ceiling")
    }
    what = f"{fill.light} on the shadow side"
    return bounce_plan(
        sheet.room,
        shares,
        what=what,
        marks=sheet.marks,
        width_mm=width_mm,
        text_mm=text_mm,
        text_width=text_width,
    )
