"""Photos: many sent at once, each judged on its own; shown upright; the original given back byte
for byte.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from typing import Any, BinaryIO, cast

from flask import (
    Blueprint,
    Response,
    current_app,
    flash,
    g,
    jsonify,
    redirect,
    render_template,
    request,
    send_file,
    url_for,
)
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from werkzeug.datastructures import FileStorage

from scout.drawing.lettering import Hand
from scout.drawing.overlays import overlay_drawing
from scout.drawing.svg import Svg, render
from scout.errors import Refused, RefusedMany
from scout.records.kept import Overlay
from scout.usecases import locations, notes, photos, rooms
from scout.usecases.shown import PhotoLine
from scout.values import Name, Said, Word, names, said
from scout.web.answer import answer_form, form_of
from scout.web.arriving import Request
from scout.web.asked import number_sent, spot_asked, version_sent
from scout.web.forms.base import HalfRead, say
from scout.web.forms.photos import PhotoForm
from scout.web.listening import DRAWER
from scout.web.notes import owner_page
from scout.web.outbox import ONCE
from scout.web.rules import may_send
from scout.web.sending import send
from scout.web.show import sentence
from scout.web.work import asking, begin_again, work

bp = Blueprint("photos", __name__)
# A photo is laid out so wide, whatever its pixels; on a phone of 390 px its letters are then 12 px.
WIDE_MM, LETTERS_MM = 110.0, 3.7


@dataclass(frozen=True)
class Sent:
    """What became of one file."""

    name: str
    photo_id: int | None = None
    warnings: tuple[Said | Name, ...] = ()
    duplicate_of: int | None = None
    refused: str | None = None

    def told(self) -> dict[str, object]:
        """It to a script, which shows the sentences as they stand."""
        return vars(self) | {"warnings": [str(one) for one in self.warnings]}


@bp.get("/photos")
def listing() -> ResponseReturnValue:
    """Photos of every owner, a page at a time, to be found and to be changed together."""
    return _listed(request.args)


def _listed(given: Mapping[str, str], fault: str | None = None) -> ResponseReturnValue:
    text = given.get("text", "")[:200]
    return render_template(
        "photos/list.html",
        found=photos.find_photos(work(), text=text, spot=spot_asked()),
        text=text,
        rooms=rooms.choices(work()),
        fault=fault,
        chosen=set(request.form.getlist("chosen")),
    ), 422 if fault else 200


@bp.post("/photos/chosen")
def change() -> ResponseReturnValue:
    """Do one thing to the photos that are ticked."""
    given = request.form.get("deed")
    deed = next((one for one in photos.DEEDS if one == given), None)
    kind, _, key = request.form.get("to", "").partition(":")
    pairs = (one.partition(":") for one in request.form.getlist("chosen"))
    try:
        if deed is None:
            known = names(photos.DEEDS, "list")
            raise Refused("deed", given, said("refused.not_one_of", words=known))
        count = photos.change_photos(
            work(),
            {
                int(one): int(version)
                for one, _, version in pairs
                if _whole(one) and _whole(version)
            },
            deed,
            (kind, int(key)) if _whole(key) else None,
        )
    except Refused as refusal:
        begin_again()
        return _listed(request.form, _why(refusal))
    flash(_to_take_back(said("done.photos_changed", n=count)))
    if (one := number_sent("photo")) is not None:
        return redirect(url_for("photos.show", photo_id=one), code=303)
    return redirect(url_for("photos.listing", text=request.form.get("text") or None), code=303)


def _to_take_back(done: Said) -> Markup | str:
    """What was done, with the way to take it back for whoever may."""
    key = work().change_id
    if key is None or not may_send(url_for("history.undo", change_id=key), "POST"):
        return str(done)
    there = url_for("history.show", change_id=key)
    return Markup('{} <a href="{}">{}</a>').format(done, there, said("done.take_back"))


def _whole(text: str) -> bool:
    return text.isdecimal() and text.isascii() and len(text) < 10


@bp.post("/<any(location, room):owner>/<int:owner_id>/photos")
def upload(owner: str, owner_id: int) -> ResponseReturnValue:
    """Keep the photos sent; one that cannot be read does not lose the others."""
    bare = cast(Request, request).bare_file()
    sent = request.files.getlist("photos") if bare is None else [bare]
    files = [file for file in sent if file.filename]
    if not files:
        notes.owner_of(work(), owner, owner_id)
    results = [_keep(owner, owner_id, file) for file in files]
    if bare is not None:
        bare.close()
    status = 422 if not files or all(result.refused for result in results) else 200
    if request.accept_mimetypes.best == "application/json":
        return jsonify(files=[result.told() for result in results]), status
    if files and not any(
        result.refused or result.warnings or result.duplicate_of for result in results
    ):
        flash(str(said("done.photos_added", n=len(files))))
        return redirect(owner_page(owner, owner_id, "photos"), code=303)
    return render_template(
        "photos/sent.html", results=results, back=owner_page(owner, owner_id, "photos")
    ), status


def _keep(owner: str, owner_id: int, file: FileStorage) -> Sent:
    name = file.filename or "photo"
    alone = ONCE in request.headers  # sent by the phone itself: nobody waits for what is said
    stream = cast(BinaryIO, file.stream)
    try:
        added = photos.add_photo(work(), owner, owner_id, stream, name, undrawn=alone)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return Sent(name, refused=_why(refusal))
    if alone:
        current_app.extensions[DRAWER].add(added.id)
    return Sent(name, added.id, added.warnings, added.duplicate_of)


def _why(refusal: Refused | RefusedMany) -> str:
    """Why a file was refused, without the path that only a form has."""
    return " ".join(
        sentence(say(one))
        for one in (refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,))
    )


@bp.route("/photos/<int:photo_id>", methods=["GET", "POST"])
def show(photo_id: int) -> ResponseReturnValue:
    """A photo with what its file says, and the form of what people say."""
    page, kept = photos.photo(work(), photo_id), photos.photo_kept(work(), photo_id)
    form, back = (
        form_of(PhotoForm, kept, timezone=_timezone(page.owner, page.owner_id)),
        owner_page(page.owner, page.owner_id, "photos"),
    )

    def save() -> str:
        # what is drawn in the form was drawn on the picture as it stood beside it
        record = photos.turned_along(form.record(), kept.record.turned)
        photos.save_photo(work(), photo_id, form.opened_at, record)
        return back

    return answer_form(
        form,
        save,
        "photos/show.html",
        page=page,
        title=page.line.caption or page.line.original_name,
        drawn=partial(_drawn, page.line, form),
        verb="Save the photo",
        back=back,
    )


@bp.post("/photos/<int:photo_id>/overlays")
def overlays(photo_id: int) -> ResponseReturnValue:
    """What the form's arrows, boxes and words look like on the photo; nothing is kept."""
    line = photos.photo(work(), photo_id).line
    return Response(str(_drawn(line, PhotoForm(request.form))), mimetype="image/svg+xml")


def _drawn(line: PhotoLine, form: PhotoForm) -> Svg:
    """What is written in the form as a drawing over the photo; rows that are not whole yet wait."""
    try:
        plains = form.overlays.read() or []
    except HalfRead as half:
        plains = half.rest
    whole = []
    for plain in plains:
        with suppress(RefusedMany):
            whole.append(Overlay.read(plain))
    high_mm = WIDE_MM * line.height_px / line.width_px
    drawing = overlay_drawing(whole, WIDE_MM, high_mm, Hand(LETTERS_MM))
    return render(drawing, id_prefix="overlays", standalone=True)


def _timezone(owner: str, owner_id: int) -> str | None:
    place = (
        rooms.room(work(), owner_id).location
        if owner == "room"
        else locations.location(work(), owner_id).kept
    )
    return place.record.timezone


@bp.app_url_defaults
def _another_picture(endpoint: str, values: dict[str, Any]) -> None:
    """A photo that is turned has another address: browsers keep what they had under the old one."""
    if endpoint != "photos.picture" or asking() is None:
        return
    if "turned" not in g:
        g.turned = photos.turned_photos(work())
    if values.get("photo_id") in g.turned:
        values.setdefault("turned", g.turned[values["photo_id"]])


@bp.get("/photos/<int:photo_id>/<any(thumb, screen):size>.jpg")
def picture(photo_id: int, size: str) -> ResponseReturnValue:
    """The upright picture, without position or other notes inside."""
    response = send_file(
        photos.picture(work(), photo_id, "thumb" if size == "thumb" else "screen"),
        mimetype="image/jpeg",
    )
    response.headers["Cache-Control"] = "private, max-age=86400"
    return response


@bp.get("/photos/<int:photo_id>/original")
def original(photo_id: int) -> ResponseReturnValue:
    """The file as it was sent, byte for byte."""
    held, name, mime = photos.original(work(), photo_id)
    return send(held, mime, name)


@bp.post("/photos/<int:photo_id>/move")
def move(photo_id: int) -> ResponseReturnValue:
    """Put a photo at another place in the order."""
    page = photos.photo(work(), photo_id)
    photos.move_photo(work(), photo_id, version_sent(), number_sent("position") or 0)
    return redirect(owner_page(page.owner, page.owner_id, "photos"), code=303)


@bp.post("/photos/<int:photo_id>/bin")
def to_bin(photo_id: int) -> ResponseReturnValue:
    """Move a photo to the bin; its original stays."""
    page = photos.photo(work(), photo_id)
    photos.bin_photo(work(), photo_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "photo"))))
    return redirect(owner_page(page.owner, page.owner_id, "photos"), code=303)
