"""A page whose figures take long comes at once with what is recorded, and asks for the rest itself."""

from __future__ import annotations

from typing import Any, cast

from flask import Flask, flash, get_flashed_messages, render_template, request
from flask.typing import ResponseReturnValue

from scout.drawing.plan.editor import floor_board
from scout.pages.choice import candidates
from scout.pages.day import setups
from scout.pages.once import NotYet, wait_for
from scout.usecases import productions, rooms
from scout.web.asked import question
from scout.web.work import work

PATIENCE_S = 0.4
WHOLE = "whole"  # in an address: however long it takes, as it is asked for without scripts


def start(app: Flask) -> None:
    """Let pages that a person opens come at once; what a script, a program or a printer fetches is
    waited for.
    """
    app.before_request(_begin)
    app.teardown_request(_end)
    app.register_error_handler(NotYet, _skeleton)


def _begin() -> None:
    opened = request.method == "GET" and "text/html" in request.headers.get("Accept", "")
    wait_for(PATIENCE_S if opened and WHOLE not in request.args else None)


def _end(_error: BaseException | None = None) -> None:
    wait_for(None)


def _skeleton(_wait: NotYet) -> ResponseReturnValue:
    """The page with its names, photos and recorded facts, and a place for the figures. The status
    tells the worker of the phone that it is not to be kept.
    """
    wait_for(None)
    for message in get_flashed_messages():
        flash(cast(str, message))  # said again beside the figures
    joined = "&" if request.query_string else ""
    whole = f"{request.full_path.rstrip('?')}{joined or '?'}{WHOLE}=1"
    return render_template("waiting.html", whole=whole, **_known(request.view_args or {})), 202


def _known(asked: dict[str, Any]) -> dict[str, Any]:
    """What is recorded of what the address names, and takes no working out."""
    if "room_id" in asked:
        page = rooms.room(work(), asked["room_id"])
        board = floor_board(page.kept.record)
        return {"page": page, "asked": question(page), "board": board}
    if "scene_id" in asked:
        of = asked["scene_id"]
        plans = candidates.small_plans(work(), of)
        return {
            "scene": productions.scene(work(), of),
            "photos": candidates.first_photos(work(), of),
            "plans": {key: (plan, floor_board(plan.room)) for key, plan in plans.items()},
        }
    if "production_id" in asked:
        of = asked["production_id"]
        return {
            "job": productions.production(work(), of).kept,
            "setups": setups.setups_of(work(), of),
        }
    return {}
