"""Packets: printed in the background with progress, kept by revision, downloaded."""

from __future__ import annotations

from collections.abc import Callable
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
from scout.pages.packet import compose
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
    """Begin to print the packet of a production."""
    productions.production(work(), production_id)
    wanted, figures = request.form.get("paper", "a4"), units()
    if wanted not in PAPERS:
        raise Refused("paper", wanted, said("refused.not_one_of", words=names(PAPERS, "list")))
    paper: packets.Paper = "letter" if wanted == "letter" else "a4"

    def print_it(at_work: Work, progress: Callable[[int, int], None]) -> PacketLine:
        return packets.print_packet(
            at_work, production_id, compose, paper=paper, units=figures, progress=progress
        )

    return redirect(
        url_for("packets.making", key=press().start(production_id, asking(), print_it).key),
        code=303,
    )


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
