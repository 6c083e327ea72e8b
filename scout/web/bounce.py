"""Bounced light of a room: what the walls do to each light, and what mends it."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from scout.drawing import svg
from scout.usecases import bounce_page, rooms
from scout.web.asked import question
from scout.web.work import work

bp = Blueprint("bounce", __name__)


@bp.get("/rooms/<int:room_id>/bounce")
def show(room_id: int) -> ResponseReturnValue:
    """All that is known of a room's bounced light."""
    page = rooms.room(work(), room_id)
    asked = question(page)
    told = bounce_page.bounce_page(work(), room_id, asked.on, at=asked.at, production_id=asked.production_id)
    plan = None if told.plan is None else svg.render(told.plan, id_prefix="bounce")
    return render_template("bounce/show.html", page=page, asked=asked, told=told, plan=plan, patch=patch)


def patch(code: str, words: str) -> Markup:
    """A square of a colour as a drawing: the pages carry no inline styles."""
    return Markup('<svg class="patch" viewBox="0 0 40 28" role="img" aria-label="{}"><rect width="40" height="28" fill="{}"/></svg>').format(words, code)
