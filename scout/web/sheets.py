"""Room sheets: a room out as one JSON document and in again, and the document's schema."""

from __future__ import annotations

import json

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout import records
from scout.errors import Refused, RefusedMany
from scout.records.schema import room_sheet_schema
from scout.usecases import locations, rooms, sheets
from scout.web.asked import chosen_key, number_asked, number_sent
from scout.web.security import SHEET_MOST_BYTES
from scout.web.work import begin_again, work

bp = Blueprint("sheets", __name__)


@bp.get("/room-sheet.schema.json")
def schema() -> ResponseReturnValue:
    """The JSON Schema of the room sheet."""
    return Response(json.dumps(room_sheet_schema(), indent=1), mimetype="application/schema+json")


@bp.get("/rooms/<int:room_id>/room-sheet.json")
def export(room_id: int) -> ResponseReturnValue:
    """A room as one document, with the kit of a production if one is named."""
    sheet = sheets.export_sheet(work(), room_id, number_asked("production"))
    response = Response(
        json.dumps(sheet.plain(), indent=1, ensure_ascii=False), mimetype="application/json"
    )
    name = "".join(
        ch if ch.isalnum() else "-"
        for ch in (rooms.room(work(), room_id).kept.record.name or "room")
    )[:60]
    response.headers.set("Content-Disposition", "attachment", filename=f"{name}.room-sheet.json")
    return response


@bp.get("/sheets/read")
def ask_sheet() -> ResponseReturnValue:
    """The page to bring a room sheet in."""
    return render_template(
        "sheets/read.html",
        places=locations.choices(work(), also=chosen_key(number_asked("location"))),
        refusals=(),
        text="",
        chosen=number_asked("location"),
    )


@bp.post("/sheets/read")
def read_sheet() -> ResponseReturnValue:
    """Record the room of a sheet, or show every refusal with its path."""
    file, text, chosen = (
        request.files.get("sheet"),
        request.form.get("text", ""),
        number_sent("location"),
    )
    data = (
        file.stream.read(SHEET_MOST_BYTES + 1)
        if file is not None and file.filename
        else text.encode()
    )
    try:
        if not data.strip():
            raise Refused("room sheet", None, "choose a file, or paste the document")
        room_id = sheets.import_sheet(work(), records.read_sheet(data), chosen)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        refusals = refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,)
        shown = text or data.decode(errors="replace")[:1_000_000]
        return render_template(
            "sheets/read.html",
            places=locations.choices(work(), also=chosen_key(chosen)),
            refusals=refusals,
            text=shown,
            chosen=chosen,
        ), 422
    flash(
        "The room is recorded. The sheet's kit, if it has one, belongs to a production and was not taken."
    )
    return redirect(url_for("rooms.show", room_id=room_id), code=303)
