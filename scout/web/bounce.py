"""Bounced light of a room: what the walls do to each light, and what fixes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from scout.calc.bounce.card import GREY_CARD, WHITE_CARD, Picked
from scout.drawing import svg
from scout.errors import NotFound, Refused
from scout.pages.room import bounce as bounce_page
from scout.units import parse_number
from scout.usecases import photo_colour, photos, rooms
from scout.values import Name, Word, said
from scout.web.asked import question, setup_or_fault
from scout.web.bodies import body, unchanged
from scout.web.parts import surface_names
from scout.web.work import looking, saving, work

bp = Blueprint("bounce", __name__)


@bp.get("/rooms/<int:room_id>/bounce")
def show(room_id: int) -> ResponseReturnValue:
    """All that is known of a room's bounced light."""
    return render_template("bounce/show.html", **unchanged(lambda: _shown(room_id)))


def _shown(room_id: int) -> dict[str, Any]:
    page = rooms.room(work(), room_id)
    asked = question(page)

    def told() -> dict[str, Any]:
        found = bounce_page.bounce_page(
            work(),
            room_id,
            asked.on,
            at=asked.at,
            production_id=asked.production_id,
            scene_id=asked.scene_id,
        )
        plan = None if found.plan is None else svg.render(found.plan, id_prefix="bounce")
        return {"page": page, "asked": asked, "told": found, "plan": plan, "patch": patch}

    drawn = body("bounce/light.html", (page, asked, setup_or_fault(page, asked)), told)
    return {"page": page, "body": drawn}


@dataclass(frozen=True)
class Picks:
    """What was typed or picked, to be shown again."""

    wall: str
    card: str
    grey: str
    kind: str
    lit: str
    surface: str

    @property
    def reflectance(self) -> float:
        """Of the card."""
        return GREY_CARD if self.kind == "grey" else WHITE_CARD


@bp.route("/photos/<int:photo_id>/colour", methods=["GET", "POST"])
def colour(photo_id: int) -> ResponseReturnValue:
    """Pick a card and a wall on a photo of a room; see the colour; keep it."""
    page = photos.photo(looking(), photo_id)
    if page.owner != "room":
        raise NotFound("room of photo", photo_id)
    asked = Picks(
        *(
            request.form.get(name, "").strip()[:2000]
            for name in ("wall", "card", "grey", "kind", "lit", "surface")
        )
    )
    found, fault = picked(photo_id, asked) if request.method == "POST" else (None, None)
    room = rooms.room(work(), page.owner_id)
    if found is not None and request.form.get("keep"):
        photo_colour.keep_colour(
            saving(),
            page.owner_id,
            asked.surface,
            found,
            with_card=bool(asked.card),
            by_daylight=asked.lit != "lamps",
        )
        flash(
            str(
                said(
                    "done.colour_kept",
                    colour=Name(found.code),
                    surface=Word("surface", asked.surface),
                )
            )
        )
        return redirect(
            url_for("rooms.recorded", room_id=page.owner_id, _anchor="surfaces"), code=303
        )
    return render_template(
        "bounce/colour.html",
        page=page,
        asked=asked,
        found=found,
        fault=fault,
        patch=patch,
        surfaces=surface_names(room.kept.record, room.surfaces),
    ), 422 if fault else 200


def picked(photo_id: int, asked: Picks) -> tuple[Picked | None, Refused | None]:
    """The colour, or why there is none."""
    try:
        return photo_colour.pick_colour(
            work(),
            photo_id,
            places("wall", asked.wall),
            places("card", asked.card),
            asked.reflectance,
            places("grey", asked.grey),
        ), None
    except Refused as refusal:
        return None, refusal


def places(name: str, text: str) -> list[tuple[float, float]]:
    """Places of a picture, one a line: the share from its left and from its top. Raises Refused."""
    found = []
    for line in text.splitlines():
        parts = [part for part in line.replace(";", ",").split(",") if part.strip()]
        if not parts:
            continue
        if len(parts) != 2:
            raise Refused(
                name, line, "is not a place; give two shares from 0 to 1 a line, such as 0.25, 0.6"
            )
        found.append((parse_number(parts[0], name=name), parse_number(parts[1], name=name)))
    return found


def patch(code: str, words: str) -> Markup:
    """A square of a colour as a drawing: the pages carry no inline styles."""
    return Markup(
        '<svg class="patch" viewBox="0 0 40 28" role="img" aria-label="{}"><rect width="40" height="28" fill="{}"/></svg>'
    ).format(words, code)
