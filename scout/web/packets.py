"""Packets: printed in the background with progress, kept by revision, downloaded."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import cast

from flask import (
    Blueprint,
    current_app,
    jsonify,
    redirect,
    render_template,
    request,
    send_file,
    url_for,
)
from flask.typing import ResponseReturnValue

from scout.errors import Refused
from scout.packet.editions import EDITIONS, EditionName
from scout.pages.printing import PRINTER
from scout.usecases import packets, productions
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work
from scout.values import names, said
from scout.web.jobs import Press
from scout.web.work import asking, units, work

bp = Blueprint("packets", __name__)
PAPERS = ("a4", "letter")


def press() -> Press:
    """The one press of this process."""
    return cast(Press, current_app.extensions["press"])


@bp.post("/productions/<int:production_id>/packets")
def start(production_id: int) -> ResponseReturnValue:
    """Begin to print an edition of the packet of a production."""
    productions.production(work(), production_id)
    paper = _one_of("paper", PAPERS, "a4")
    edition = _one_of("edition", EDITIONS, "whole")
    wanted = packets.Wanted(
        cast(EditionName, edition),
        _day(),
        "letter" if paper == "letter" else "a4",
        units(),
        url_for("productions.show", production_id=production_id, _external=True),
    )

    def print_it(at_work: Work, progress: Callable[[int, int], None]) -> PacketLine:
        return packets.print_packet(at_work, production_id, PRINTER, wanted, progress=progress)

    job = press().start(production_id, wanted, asking(), print_it)
    return redirect(url_for("packets.making", key=job.key), code=303)


def _one_of(field: str, words: tuple[str, ...], usual: str) -> str:
    wanted = request.form.get(field, usual)
    if wanted not in words:
        raise Refused(field, wanted, said("refused.not_one_of", words=names(words, "list")))
    return wanted


def _day() -> date | None:
    """The date asked for; None: of all days."""
    text = request.form.get("date", "")
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused("date", text, said("record.no_date")) from None


@bp.get("/packets/making/<key>")
def making(key: str) -> ResponseReturnValue:
    """How far a packet is; the page looks again by itself."""
    job = press().job(key)
    if job.over and request.args.get("watch") == "script":
        return redirect(url_for("packets.making", key=key))
    return render_template(
        "packets/making.html",
        job=job,
        production=productions.production(work(), job.production_id).kept,
    )


@bp.get("/packets/making/<key>.json")
def progress(key: str) -> ResponseReturnValue:
    """How far a packet is, for the page's script."""
    job = press().job(key)
    return jsonify(state=job.state, done=job.done, of=job.of, over=job.over)


@bp.get("/packets/<int:packet_id>.pdf")
def download(packet_id: int) -> ResponseReturnValue:
    """A printed revision."""
    path, name = packets.packet_file(work(), packet_id)
    return send_file(path, mimetype="application/pdf", as_attachment=True, download_name=name)
