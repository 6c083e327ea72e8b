"""Measuring on a photo of a room: tap a sheet and a thing, see its lengths, keep them in a part."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.errors import NotFound, Refused, RefusedMany, shorten
from scout.records.parts import PARTS
from scout.usecases import measuring, photos, rooms
from scout.usecases.measuring import KINDS, WallFound
from scout.usecases.shown import RoomPage
from scout.values import Figure, Said, Word, said
from scout.web.answer import form_of
from scout.web.forms.measuring import TwoPhotosForm, WallPhotoForm
from scout.web.forms.rooms import walls_of
from scout.web.work import begin_again, looking, saving, work

bp = Blueprint("measuring", __name__)


@bp.route("/photos/<int:photo_id>/measure", methods=["GET", "POST"])
def show(photo_id: int) -> ResponseReturnValue:
    """Lengths on a wall of a photo of a room; kept in one of its parts when asked to."""
    page = photos.photo(looking(), photo_id)
    if page.owner != "room":
        raise NotFound("room of photo", photo_id)
    room = rooms.room(work(), page.owner_id)
    others = [line for line in room.photos if line.id != photo_id]
    along = request.form.get("along", "")  # a photo that was chosen to be tapped on too
    two = along or request.form.get("again_id")
    form = form_of(
        TwoPhotosForm if two else WallPhotoForm,
        start={"photo_id": photo_id, "first": "a4_upright"},
    )
    if along.isdecimal() and len(along) < 10:
        form.again_id.text = along
    found: WallFound | None = None
    fault: str | None = None
    standing: dict[str, Any] = {}
    status = 200
    if request.method == "POST" and not along:
        try:
            found = measuring.measure_wall(
                work(), form.record().model_copy(update={"photo_id": photo_id})
            )
        except (Refused, RefusedMany) as refusal:
            form, status = form.showing(refusal), 422
    if found is not None and request.form.get("keep"):
        try:
            kind, part_id = _chosen(request.form.get("into", ""))
            wall = request.form.get("onto") or None
            ticked = request.form.getlist("replace")
            standing = measuring.keep_lengths(
                saving(), page.owner_id, kind, part_id, wall, found, ticked
            )
            if not standing:
                flash(str(said("done.measured", of=PARTS[kind].one)))
                there = url_for("rooms.recorded", room_id=page.owner_id, _anchor=kind)
                return redirect(there, code=303)
            fields = measuring.fields_of(kind, found)
            standing = {
                name: said(
                    "measure.stands",
                    field=Word("fact", name),
                    stands=Figure(value, "m"),
                    found=Figure(fields[name].m, "m"),
                )
                for name, value in standing.items()
            }
        except (Refused, RefusedMany) as refusal:
            begin_again()
            one = refusal.refusals[0] if isinstance(refusal, RefusedMany) else refusal
            fault = f"{shorten(one.given)} {one.because}".strip()
        status = 422
    again = next((line for line in others if str(line.id) == form.again_id.text), None)
    return render_template(
        "photos/measure.html",
        page=page,
        form=form,
        found=found,
        lines=[] if found is None else _lines(found),
        choices=_choices(room, found),
        walls=walls_of(len(room.kept.record.corners_m or ())),
        standing=standing,
        fault=fault,
        others=others,
        again=again,
        back=url_for("photos.show", photo_id=photo_id),
    ), status


def _chosen(text: str) -> tuple[str, int | None]:
    """The kind of part and its key, None for a new one. Raises Refused."""
    kind, _, key = text.partition(":")
    if kind not in KINDS or not (key == "new" or (key.isdecimal() and len(key) < 10)):
        raise Refused("into", None, said("refusal.measure.into"))
    return kind, None if key == "new" else int(key)


def _lines(found: WallFound) -> list[Said]:
    return [
        said(
            "measure.line",
            what=Word("measured", name),
            m=Figure(one.m, "m"),
            doubt=Figure(max(one.doubt_m, 0.005), "m"),
        )
        for name, one in found.lengths.items()
    ]


def _choices(room: RoomPage, found: WallFound | None) -> list[tuple[str, Word, str]]:
    """Parts it can be written into, and new ones."""
    if found is None:
        return []
    kinds = KINDS if found.box else ("outlets",)
    return [
        (f"{kind}:{key}", PARTS[kind].one, label)
        for kind in kinds
        for key, label in [*((part.id, part.record.id) for part in room.parts[kind]), ("new", "")]
    ]
