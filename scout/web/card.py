"""A light reading from a photo of a card: choose the photo, tap the card, keep the reading."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.calc.bounce.card import GREY_CARD, WHITE_CARD
from scout.errors import NotFound, Refused, RefusedMany
from scout.records.sheet import ReadMark, ReadPlane, Sky
from scout.usecases import card_light, photos, rooms
from scout.usecases.card_light import CardShots
from scout.values import Figure, said
from scout.web.bounce import places
from scout.web.work import looking, saving, work

bp = Blueprint("card", __name__)
NAMES = ("card", "kind", "hdr", "twin", "mark", "plane", "sky")


@bp.route("/photos/<int:photo_id>/light", methods=["GET", "POST"])
def light(photo_id: int) -> ResponseReturnValue:
    """The light on a card of a photo of a room; kept among its readings when asked to."""
    page = photos.photo(looking(), photo_id)
    if page.owner != "room":
        raise NotFound("room of photo", photo_id)
    room = rooms.room(work(), page.owner_id)
    twins = [("", "none")] + [
        (photo.id, photo.caption or photo.original_name)
        for photo in room.photos
        if photo.id != photo_id
    ]
    asked = {name: request.form.get(name, "").strip()[:200] for name in NAMES}
    found: CardShots | None = None
    fault: Refused | RefusedMany | None = None
    if request.method == "POST":
        try:
            found = _read(photo_id, asked, {str(key) for key, _ in twins})
            if request.form.get("keep"):
                _keep(page.owner_id, found, asked)
                flash(
                    str(
                        said(
                            "done.reading_kept",
                            lux=Figure(found.light.lux, "lux"),
                            doubt=Figure(found.light.doubt_stops, "stops"),
                        )
                    )
                )
                return redirect(
                    url_for("rooms.recorded", room_id=page.owner_id, _anchor="readings"), code=303
                )
        except (Refused, RefusedMany) as refusal:
            fault = refusal
    line = None
    if found is not None:
        line = said(
            "card.good_to",
            lux=Figure(found.light.lux, "lux"),
            doubt=Figure(found.light.doubt_stops, "stops"),
        )
    return render_template(
        "photos/light.html",
        page=page,
        asked=asked,
        found=found,
        found_line=line,
        fault=fault,
        twins=twins,
    ), 422 if fault else 200


def _read(photo_id: int, asked: dict[str, str], twins: set[str]) -> CardShots:
    tapped = places("card", asked["card"])
    if len(tapped) != 1:
        raise Refused("card", asked["card"], said("refusal.card.one_place"))
    twin = asked["twin"]
    if twin not in twins:
        raise NotFound("photo", twin)
    return card_light.read_card(
        work(),
        photo_id,
        tapped[0],
        WHITE_CARD if asked["kind"] == "white" else GREY_CARD,
        hdr_off=asked["hdr"] == "off",
        twin_id=int(twin) if twin else None,
    )


def _keep(room_id: int, found: CardShots, asked: dict[str, str]) -> None:
    mark: ReadMark = "camera" if asked["mark"] == "camera" else "subject"
    plane: ReadPlane = "camera" if asked["plane"] == "camera" else "level"
    sky: Sky = "clear" if asked["sky"] == "clear" else "overcast"
    card_light.keep_reading(saving(), room_id, found, mark, plane, sky)
