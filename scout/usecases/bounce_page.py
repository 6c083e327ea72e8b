"""Bounced light of a room as its page shows it: verdicts, surfaces, every bounce, both sides of the face, remedies, mixed light."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from scout.assess import room as whole
from scout.assess.answers import RoomAssessment, Verdict
from scout.assess.bounce_picture import LightLook, SurfaceLook, light_looks, surface_looks
from scout.assess.bounce_verdicts import verdicts
from scout.drawing.bounce_plan import bounce_plan
from scout.drawing.lettering import SCREEN_TEXT_MM
from scout.drawing.shapes import Drawing
from scout.records.sheet import RoomSheet
from scout.usecases import assessing
from scout.usecases.work import Work


@dataclass(frozen=True)
class BouncePage:
    """What the bounce page of a room shows. `surfaces` may be the reason why there are none."""

    found: RoomAssessment
    verdicts: tuple[Verdict, ...]
    surfaces: tuple[SurfaceLook, ...] | str
    looks: tuple[LightLook, ...]
    plan: Drawing | None

    def look(self, light: str, target: str) -> LightLook | None:
        """The patches of one light by one way."""
        return next((one for one in self.looks if (one.light, one.target) == (light, target)), None)


def bounce_page(work: Work, room_id: int, on: date, *, at: datetime | None = None, production_id: int | None = None) -> BouncePage:
    """Everything said of a room's bounced light, with the kit of a production (None: the newest it is proposed for). Raises NotFound."""
    production_id = production_id if production_id is not None else assessing.production_of(work, room_id)
    sheet = assessing.sheet(work, room_id, production_id)
    return _page(json.dumps(sheet.plain(), sort_keys=True), on, at)


@lru_cache(maxsize=16)
def _page(sheet_text: str, on: date, at: datetime | None) -> BouncePage:
    sheet = RoomSheet.model_validate_json(sheet_text)
    found = whole.assess_room(sheet, on, at=at, in_full=True)
    looks = light_looks(sheet, found.placements, found.bounce, found.surround)
    fill = next((look for look in looks if look.target == "shadow side" and look.shares), None)
    plan = None
    if fill is not None:
        shares = {name: share for name, share in fill.shares.items() if len(name) == 1 or name in ("floor", "ceiling")}
        plan = bounce_plan(sheet.room, shares, what=f"{fill.light} on the shadow side", marks=sheet.marks, text_mm=SCREEN_TEXT_MM)
    return BouncePage(found, verdicts(found.bounce, found.surround), surface_looks(sheet), looks, plan)
