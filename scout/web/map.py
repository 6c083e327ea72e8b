"""Maps: all locations, and the library that draws them, served from its own package."""

from __future__ import annotations

from importlib.resources import as_file, files

import js_lib_leaflet
from flask import Blueprint, Response, g, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from scout.pages import places
from scout.web.asked import number_asked
from scout.web.work import settings, work

bp = Blueprint("map", __name__)


@bp.get("/map")
def show() -> ResponseReturnValue:
    """Where the locations lie, and how far from one of them."""
    text, start = request.args.get("text", "")[:200], number_asked("from")
    return render_template(
        "map.html",
        map=places.map_of_all(work(), text, start),
        text=text,
        start=start,
        most=places.MOST_PLACES,
    )


@bp.get("/leaflet/<any('leaflet.js', 'leaflet.css'):name>")
def library(name: str) -> Response:
    """A file of the map library."""
    with as_file(files(js_lib_leaflet) / "static" / "js_lib_leaflet" / name) as path:
        return send_file(path, max_age=31_536_000)  # its address carries its version


def library_address(name: str) -> str:
    """The address of a file of the map library, which changes with its version."""
    return url_for("map.library", name=name, v=js_lib_leaflet.__version__)


def tiles() -> tuple[str, str] | None:
    """The address of map tiles and whom they are owed to, if any are set; the page that asks may
    fetch them.
    """
    if settings().tiles is None:
        return None
    g.tiles_origin = settings().tiles_origin
    return settings().tiles or "", settings().tiles_by
