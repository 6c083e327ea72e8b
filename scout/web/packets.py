"""Packets: asked for, looked at while they are printed, kept by revision, downloaded."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, cast

from flask import (
    Blueprint,
    flash,
    jsonify,
    redirect,
    render_template,
    request,
    send_file,
    url_for,
)
from flask.typing import ResponseReturnValue

from scout.errors import Refused
from scout.packet.names import EDITIONS, EditionName
from scout.packet.swap import swap_said
from scout.usecases import previews, print_templates, printings, productions, revisions
from scout.usecases.shown import PacketLine
from scout.values import Name, Word, names, said
from scout.web.work import units, work

bp = Blueprint("packets", __name__)
PAPERS = ("a4", "letter")
UNITS = ("metric", "feet")


@bp.post("/productions/<int:production_id>/packets")
def start(production_id: int) -> ResponseReturnValue:
    """Begin to print an edition of the packet of a production: as a template has it, or as chosen
    here, which may be kept as one.
    """
    productions.production(work(), production_id)
    name, new = (request.form.get(field, "") for field in ("template", "template_name"))
    wanted = print_templates.template(work(), production_id, name) if name else _chosen()
    if new.strip():
        print_templates.keep_template(work(), production_id, new, wanted)
    key = printings.ask(work(), production_id, wanted)
    return redirect(url_for("packets.making", key=key), code=303)


def _chosen() -> revisions.Wanted:
    return revisions.Wanted(
        cast(EditionName, _one_of("edition", EDITIONS, "whole")),
        _day(),
        "letter" if _one_of("paper", PAPERS, "a4") == "letter" else "a4",
        "feet" if _one_of("units", UNITS, units()) == "feet" else "metric",
    )


@bp.post("/packets/templates/<int:key>/forget")
def forget_template(key: int) -> ResponseReturnValue:
    """Keep a template no longer."""
    gone = print_templates.forget_template(work(), key)
    flash(str(said("revision.template_gone", name=Name(gone.name))))
    there = url_for("productions.show", production_id=gone.production_id, _anchor="packets")
    return redirect(there, code=303)


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
    job = printings.asked(work(), key)
    return render_template(
        "packets/making.html",
        job=job,
        production=productions.production(work(), job.production_id).kept,
    )


@bp.get("/packets/making/<key>.json")
def progress(key: str) -> ResponseReturnValue:
    """How far a packet is, for the page's script."""
    job = printings.asked(work(), key)
    return jsonify(state=job.state, done=job.done, of=job.of, over=job.over)


@bp.post("/packets/making/<key>/cancel")
def cancel(key: str) -> ResponseReturnValue:
    """Give up what is not printed yet."""
    printings.cancel(work(), key)
    return redirect(url_for("packets.making", key=key), code=303)


@bp.get("/packets/<int:packet_id>.pdf")
def download(packet_id: int) -> ResponseReturnValue:
    """A printed revision, to save or (`look`) in the browser's own viewer."""
    path, name = revisions.packet_file(work(), packet_id)
    here = request.args.get("look") == "1"
    return send_file(path, mimetype="application/pdf", as_attachment=not here, download_name=name)


@bp.get("/packets/<int:packet_id>")
def show(packet_id: int) -> ResponseReturnValue:
    """A printed edition, page by page."""
    line = previews.printed(work(), packet_id)

    def picture(page: int, width_px: int) -> str:
        return url_for("packets.page", packet_id=packet_id, page=page, width_px=width_px)

    return render_template("packets/show.html", **sheets(line, picture))


def sheets(line: PacketLine, picture: Callable[[int, int], str]) -> dict[str, Any]:
    """What the page of a printed edition is given; `picture`: the address of a page's picture."""
    return {
        "line": line,
        "edition": Word("edition", line.edition),
        "production": productions.production(work(), line.production_id).kept,
        "picture": picture,
        "shape": (612, 792) if line.paper == "letter" else (595, 842),
    }


@bp.get("/packets/<int:packet_id>/<int:page>-<int:width_px>.webp")
def page(packet_id: int, page: int, width_px: int) -> ResponseReturnValue:
    """One page as a picture."""
    path = previews.page_picture(work(), packet_id, page, width_px)
    response = send_file(path, mimetype="image/webp")
    response.headers["Cache-Control"] = "private, max-age=86400"
    return response


@bp.get("/r/<token>/<int:revision>/<which>")
def standing(token: str, revision: int, which: str) -> ResponseReturnValue:
    """Whether a printed revision is the last, for whoever holds its paper: no name, no fact."""
    found = revisions.standing(work(), token, revision, which)
    newest = found.newest
    return render_template(
        "packets/standing.html",
        found=found,
        told=said("revision.last", n=revision)
        if revision == newest
        else said("revision.newer", n=revision, newest=newest),
        swap=said("revision.other_edition", newest=newest)
        if found.swap is None
        else swap_said(found.swap, revision),
    )


@bp.post("/productions/<int:production_id>/packets/code")
def new_code(production_id: int) -> ResponseReturnValue:
    """Another token for what is printed from now on; the codes on paper lead nowhere."""
    revisions.code_of(work(), production_id, anew=True)
    flash(str(said("revision.code_anew")))
    return redirect(url_for("productions.show", production_id=production_id, _anchor="packets"))
