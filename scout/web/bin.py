"""The bin: what was deleted, and how to have it back."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused, RefusedMany
from scout.usecases import bin as usecase
from scout.web.work import begin_again, work

bp = Blueprint("bin", __name__)


@bp.get("/bin")
def listing() -> ResponseReturnValue:
    """Everything in the bin, newest first."""
    return render_template("bin.html", lines=usecase.binned(work()), refused=())


@bp.post("/bin/<kind>/<int:key>/restore")
def restore(kind: str, key: int) -> ResponseReturnValue:
    """Have something back; when it no longer fits, say why and leave it there."""
    try:
        usecase.restore(work(), kind, key)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return render_template(
            "bin.html", lines=usecase.binned(work()), refused=str(refusal).splitlines()
        ), 422
    flash("It is back where it was.")
    return redirect(url_for("bin.listing"), code=303)
