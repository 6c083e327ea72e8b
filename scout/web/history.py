"""Who changed what: a list to look through, each change whole, and a button that takes it back."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused, RefusedMany
from scout.usecases import history, undoing
from scout.values import said
from scout.web.asked import date_asked, number_asked, spot_asked
from scout.web.work import begin_again, home_zone, work

bp = Blueprint("history", __name__)
ABOUT = ("room", "location", "production")


@bp.get("/changes")
def listing() -> str:
    """Changes, the newest first, of everything or of one person, thing or day."""
    about = next(((kind, key) for kind in ABOUT if (key := number_asked(kind))), None)
    by, on = request.args.get("by", "")[:300] or None, date_asked()
    zone = home_zone()  # the clock by which the page says when each was made
    found = history.changes(work(), by=by, about=about, on=on, zone=zone, spot=spot_asked())
    asked: dict[str, Any] = {"by": by, "on": on.isoformat() if on else None}
    if about is not None:
        asked[about[0]] = about[1]
    return render_template(
        "history/list.html",
        found=found,
        asked=asked,
        about=about,
        about_name=history.name_of(work(), about),
        names=sorted({*history.people(work()), *([by] if by else [])}),
    )


@bp.get("/changes/<int:change_id>")
def show(change_id: int) -> str:
    """One change, field by field, and what taking it back would put there."""
    return _shown(change_id)


def _shown(change_id: int, refused: str | None = None) -> str:
    return render_template(
        "history/show.html", found=undoing.preview(work(), change_id), refused=refused
    )


@bp.post("/changes/<int:change_id>/undo")
def undo(change_id: int) -> ResponseReturnValue:
    """Take one change back."""
    try:
        made = undoing.undo(work(), change_id)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return _shown(change_id, str(refusal)), 422
    flash(str(said("history.done")))
    return redirect(url_for("history.show", change_id=made), code=303)
