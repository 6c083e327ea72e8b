"""Files of other programs, in and out: tables, maps, contacts, and all of it in one ZIP."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping

from flask import Blueprint, Response, render_template, request, send_file
from flask.typing import ResponseReturnValue

from scout.errors import NotFound, Refused, RefusedMany
from scout.pages import exports
from scout.usecases import bringing, locations, productions
from scout.values import said
from scout.web.asked import chosen_key, number_sent
from scout.web.forms.base import say
from scout.web.security import SHEET_MOST_BYTES
from scout.web.work import begin_again, work

bp = Blueprint("files", __name__, url_prefix="/files")


@bp.get("/")
def show() -> ResponseReturnValue:
    """What can be taken out and brought in."""
    return _page({})


@bp.post("/")
def read() -> ResponseReturnValue:
    """Bring a file in, or say what it would bring."""
    chosen = {name: number_sent(name) for name in ("location", "production")}
    try:
        file = request.files.get("file")
        if file is None or not file.filename:
            raise Refused("file", None, said("files.choose"))
        brought = bringing.bring(
            work(),
            file.stream.read(SHEET_MOST_BYTES + 1),
            file.filename[:200],
            location_id=chosen["location"],
            production_id=chosen["production"],
            columns=bringing.columns_of(request.form.get("columns", "").splitlines()),
            tried=bool(request.form.get("tried")),
        )
    except (Refused, RefusedMany) as refusal:
        begin_again()
        refusals = refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,)
        return _page(chosen, refusals=[f"{one.path}: {say(one)}" for one in refusals]), 422
    return _page(chosen, brought=brought)


def _page(chosen: Mapping[str, int | None], **more: object) -> str:
    return render_template(
        "files/show.html",
        files=exports.FILES,
        places=locations.choices(work(), also=chosen_key(chosen.get("location"))),
        jobs=productions.choices(work(), also=chosen_key(chosen.get("production"))),
        chosen=chosen,
        columns=request.form.get("columns", ""),
        **more,
    )


@bp.get("/<name>")
def take(name: str) -> ResponseReturnValue:
    """One of the files."""
    if name == "everything.zip":
        spool = tempfile.TemporaryFile()  # noqa: SIM115  # closed with the answer that sends it
        exports.write_zip(work(), spool)
        spool.seek(0)
        return send_file(
            spool, mimetype=exports.MIMES["zip"], as_attachment=True, download_name=name
        )
    if name not in exports.FILES:
        raise NotFound("file", name)
    answer = Response(exports.FILES[name](work()), mimetype=exports.MIMES[name.rpartition(".")[2]])
    answer.headers.set("Content-Disposition", "attachment", filename=name)
    return answer
