"""What is kept of somebody: to take along, or to have erased, by themselves or by an owner."""

from __future__ import annotations

import tempfile
from typing import cast

from flask import Blueprint, flash, redirect, render_template, request, send_file, session, url_for
from flask.typing import ResponseReturnValue
from flask_login import logout_user

from scout.errors import Refused, RefusedMany
from scout.packet.withdrawn import withdrawn
from scout.records import Named
from scout.usecases import erasing, people, personal
from scout.usecases.work import Who
from scout.values import said
from scout.web.answer import form_of
from scout.web.forms.people import LeaveForm, NamedForm
from scout.web.people import TOO_MANY, address, device
from scout.web.work import asking, begin_again, work

bp = Blueprint("leaving", __name__)


@bp.get("/mine")
def mine() -> str:
    """What is kept of whoever asks: to take along, or to have erased."""
    return render_template("people/mine.html", form=LeaveForm(None))


@bp.get("/mine/file")
def take() -> ResponseReturnValue:
    """All that is kept of whoever asks."""
    spool = tempfile.TemporaryFile()  # noqa: SIM115  # closed with the answer that sends it
    personal.write_file(work(), _myself(), spool)
    spool.seek(0)
    return send_file(
        spool, mimetype="application/zip", as_attachment=True, download_name="sillbook-person.zip"
    )


def _myself() -> Named:
    who = cast(Who, asking())
    return Named(name=who.name, email=who.email)


@bp.post("/mine/erase")
def leave() -> ResponseReturnValue:
    """Erase one's own account, by its password."""
    form = LeaveForm(request.form)
    whose = (cast(Who, asking()).email, address(), device())
    taken = people.may_try(work(), *whose)
    if taken is None:
        form.showing(Refused("old", None, TOO_MANY))
        return render_template("people/mine.html", form=form), 429, {"Retry-After": "600"}
    try:
        people.prove(work(), form.old.text)
        people.was_right(work(), taken, *whose)
        erasing.erase(work(), _myself(), withdrawn, own=True)
    except Refused as refusal:
        begin_again()
        refused = refusal if refusal.path == "old" else Refused("old", None, refusal.because)
        return render_template("people/mine.html", form=form.showing(refused)), 422
    logout_user()
    session.clear()
    flash(str(said("erase.done_own")))
    return redirect(url_for("people.log_in"), code=303)


@bp.route("/people/erase", methods=["GET", "POST"])
def erase() -> ResponseReturnValue:
    """Erase somebody: first what would go, then, asked for once more, it goes."""
    form = form_of(NamedForm)
    if request.method == "GET":
        form.name.text = request.args.get("name", "")[:300]
        form.email.text = request.args.get("email", "")[:200]
        return render_template("people/erase.html", form=form)
    try:
        named = form.record()
        if not request.form.get("sure"):
            there = erasing.found(work(), named)
            return render_template("people/erase.html", form=form, found=there, named=named)
        done = erasing.erase(work(), named, withdrawn)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return render_template("people/erase.html", form=form.showing(refusal)), 422
    count = sum(done.rows.values())
    told = said(
        "erase.done",
        rows=count,
        prints=done.prints,
        notes=done.private_notes,
    )
    flash(str(told))
    if not done.wiped:
        flash(str(said("erase.not_wiped")), "care")
    return redirect(url_for("people.everybody"), code=303)
