"""What is sighted in a room: which way it faces, by compass, map or shadow; and what stands against
its sky, by hand or on a photo.
"""

from __future__ import annotations

import json
from typing import Any

from flask import Blueprint, flash, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.assess.daylight.place.facing import FacingFound
from scout.drawing import svg
from scout.drawing.charts.dial import facing_dial, outward_deg
from scout.errors import NotFound, Refused, RefusedMany, ScoutError
from scout.pages.daylight.day import compass_now
from scout.records.sighted import FacingSet, SkylineSet
from scout.usecases import locations, photos, rooms
from scout.usecases import sighting as usecase
from scout.usecases.shown import Kept, PhotoLine, RoomPage
from scout.values import Name, Said, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import number_asked
from scout.web.forms.daylight import (
    FacingSetForm,
    FloorPhotoForm,
    MapLineForm,
    ShadowLineForm,
    SkylineSetForm,
    TraceForm,
)
from scout.web.work import looking, units, work

bp = Blueprint("sighting", __name__)


# -- which way it faces
# -----------------------------------------------------------------------------------------------
@bp.route("/rooms/<int:room_id>/daylight/facing", methods=["GET", "POST"])
def facing(room_id: int) -> ResponseReturnValue:
    """Set the facing: a number, or a needle turned over the plan; a bearing found elsewhere comes
    in by the address.
    """
    page = rooms.room(looking(), room_id)
    form = form_of(FacingSetForm, _facing_kept(page), timezone=page.location.record.timezone)

    def save() -> str:
        record = form.record()
        usecase.set_facing(
            work(),
            room_id,
            form.opened_at,
            record.facing,
            record.how or "needle turned over the plan, or typed",
        )
        flash("The facing is saved.")
        return url_for("daylight.show", room_id=room_id, _anchor="facing")

    found = {name: request.args.get(name, "") for name in ("how", "assumed")}
    return answer_form(
        form,
        save,
        "daylight/facing.html",
        page=page,
        found=found,
        dial=_dial(page),
        turns=json.dumps(outward_deg(page.kept.record)),
        compass=compass_now(work(), room_id),
        back=url_for("daylight.show", room_id=room_id),
    )


def _facing_kept(page: RoomPage) -> Kept[Any]:
    """The facing as kept, or as the address proposes it."""
    kept = page.kept.record.facing
    given = {
        "wall": request.args.get("wall"),
        "bearing_deg": request.args.get("bearing"),
        "accuracy_deg": request.args.get("accuracy"),
        "north": "true",
    }
    if given["wall"] and given["bearing_deg"]:
        try:
            record = FacingSet.read(
                {
                    "facing": {
                        name: float(value) if name.endswith("_deg") else value
                        for name, value in given.items()
                        if value
                    },
                    "how": request.args.get("how"),
                }
            )
        except (ValueError, ScoutError):
            raise Refused(
                "bearing", given["bearing_deg"], "is not a bearing that can be proposed here"
            ) from None
    else:
        nothing: Any = kept  # the form shows what is there: none, as a rule
        record = FacingSet.model_construct(facing=nothing, how=None)
    return Kept(page.kept.id, page.kept.version, record, page.kept.changed_at, page.kept.changed_by)


def _dial(page: RoomPage) -> svg.Svg | None:
    if page.kept.record.corners_m is None:
        return None
    proposed = _facing_kept(page).record.facing
    turns = outward_deg(page.kept.record)
    north = turns.get(proposed.wall, 0.0) - proposed.bearing_deg if proposed is not None else 0.0
    return svg.render(facing_dial(page.kept.record, north), id_prefix="dial")


@bp.route("/rooms/<int:room_id>/daylight/facing/<any(map, shadow):way>", methods=["GET", "POST"])
def facing_from(room_id: int, way: str) -> ResponseReturnValue:
    """Find the facing from two points of a map, or from a shadow on the floor; it is saved on the
    page that follows.
    """
    page = rooms.room(looking(), room_id)
    zone = page.location.record.timezone
    form: Any = form_of(
        MapLineForm if way == "map" else ShadowLineForm, timezone=zone, start=_start(page, way)
    )

    def save() -> str:
        find = usecase.find_by_map if way == "map" else usecase.find_by_shadow
        return _proposed(room_id, find(looking(), room_id, form.record()))

    return answer_form(
        form,
        save,
        "daylight/facing_from.html",
        page=page,
        way=way,
        dated=[line for line in page.photos if line.taken_at],
        back=url_for("sighting.facing", room_id=room_id),
    )


@bp.route("/rooms/<int:room_id>/daylight/facing/photo", methods=["GET", "POST"])
def facing_from_photo(room_id: int) -> ResponseReturnValue:
    """Find the facing from a shadow and a rectangle clicked on a photo of the floor; it is saved on
    the page that follows.
    """
    page = rooms.room(looking(), room_id)
    photo_id = number_asked("photo")
    picture = photos.photo(work(), photo_id).line if photo_id else None
    start = {"photo_id": picture.id, "at": picture.taken_at} if picture is not None else {}
    form: Any = form_of(
        FloorPhotoForm,
        timezone=page.location.record.timezone,
        start={name: value for name, value in start.items() if value},
    )
    return answer_form(
        form,
        lambda: _proposed(room_id, usecase.find_by_photo(looking(), room_id, form.record())),
        "daylight/facing_photo.html",
        page=page,
        picture=picture,
        photos=page.photos,
        back=url_for("sighting.facing", room_id=room_id),
    )


def _proposed(room_id: int, found: FacingFound) -> str:
    """Where a facing that was found is shown to be saved."""
    return url_for(
        "sighting.facing",
        room_id=room_id,
        wall=found.wall,
        bearing=f"{found.bearing_deg:g}",
        accuracy=f"{found.accuracy_deg:g}",
        how=str(found.how),
        assumed="; ".join(map(str, found.assumed)) or None,
    )


def _start(page: RoomPage, way: str) -> dict[str, Any]:
    photo = number_asked("photo")
    taken = (
        next((line.taken_at for line in page.photos if line.id == photo), None) if photo else None
    )
    return {"at": taken} if way == "shadow" and taken else {}


# -- skylines
# ---------------------------------------------------------------------------------------------------------
@bp.route("/rooms/<int:room_id>/daylight/skyline", methods=["GET", "POST"])
def skyline(room_id: int) -> ResponseReturnValue:
    """The skyline of a room or of one of its windows, as pairs of bearing and elevation."""
    page = rooms.room(looking(), room_id)
    window = number_asked("window")
    kept = _skyline_kept(page, window)
    form = form_of(SkylineSetForm, kept)

    def save() -> str:
        record = form.record()
        usecase.set_skyline(
            work(), room_id, form.opened_at, record.skyline, window_id=window, how=record.how
        )
        flash("The skyline is saved.")
        return url_for("daylight.show", room_id=room_id, _anchor="skylines")

    return answer_form(
        form,
        save,
        "daylight/skyline.html",
        page=page,
        window=window,
        label=_label(page, window),
        photos=_outlooks(page),
        back=url_for("daylight.show", room_id=room_id, _anchor="skylines"),
    )


@bp.route("/rooms/<int:room_id>/daylight/skyline/trace", methods=["GET", "POST"])
def trace(room_id: int) -> ResponseReturnValue:
    """Trace a skyline on a photo; its bearings and elevations are then shown to be saved."""
    page = rooms.room(looking(), room_id)
    photo_id, window = number_asked("photo"), number_asked("window")
    picture = photos.photo(work(), photo_id or 0).line
    form = form_of(TraceForm, start={"photo_id": picture.id, "bearing_deg": picture.bearing_deg})
    if request.method == "POST":
        return _traced(page, form, picture, window)
    return render_template(
        "daylight/trace.html",
        form=form,
        page=page,
        picture=picture,
        window=window,
        label=_label(page, window),
        back=url_for("sighting.skyline", room_id=room_id, window=window),
    )


def _traced(
    page: RoomPage, form: TraceForm, picture: PhotoLine, window: int | None
) -> ResponseReturnValue:
    back = url_for("sighting.skyline", room_id=page.kept.id, window=window)
    try:
        found = usecase.find_skyline(
            work(), form.record(), _skyline_kept(page, window).record.skyline
        )
    except (Refused, RefusedMany) as refusal:
        return render_template(
            "daylight/trace.html",
            form=form.showing(refusal),
            page=page,
            picture=picture,
            window=window,
            label=_label(page, window),
            back=back,
        ), 422
    proposal = SkylineSetForm.showing_kept(
        SkylineSet(skyline=found.skyline, how=found.how),
        _skyline_kept(page, window).version,
        units=units(),
    )
    return render_template(
        "daylight/skyline.html",
        form=proposal,
        page=page,
        window=window,
        label=_label(page, window),
        photos=_outlooks(page),
        found=found,
        action=back,
        back=url_for("daylight.show", room_id=page.kept.id, _anchor="skylines"),
    )


def _skyline_kept(page: RoomPage, window: int | None) -> Kept[Any]:
    if window is None:
        return Kept(
            page.kept.id,
            page.kept.version,
            SkylineSet(skyline=page.kept.record.skyline),
            page.kept.changed_at,
            page.kept.changed_by,
        )
    part = next((part for part in page.parts["windows"] if part.id == window), None)
    if part is None:
        raise NotFound("window", window)
    return Kept(
        part.id,
        part.version,
        SkylineSet(skyline=part.record.skyline),
        part.changed_at,
        part.changed_by,
    )


def _label(page: RoomPage, window: int | None) -> Said:
    if window is None:
        return said("page.the_room")
    name = next(part.record.id for part in page.parts["windows"] if part.id == window)
    return said("page.window", name=Name(name))


def _outlooks(page: RoomPage) -> list[PhotoLine]:
    """Photos a skyline can be traced on: those of the room and of its location."""
    return [*page.photos, *locations.location(work(), page.location.id).photos]
