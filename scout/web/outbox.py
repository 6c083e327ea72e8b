"""What a phone keeps while there is no signal, and how it is sent once: the worker that answers
offline, the page that lists what waits, and the names under which forms arrive.
"""

from __future__ import annotations

import json
from urllib.parse import urlsplit

from flask import Blueprint, Flask, Response, g, jsonify, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import generate_csrf

from scout.errors import SentBefore
from scout.usecases import sending
from scout.web import show
from scout.web.work import asking, work

bp = Blueprint("outbox", __name__)
ONCE = "X-Once"
TO_KEEP = (".css", ".js", ".svg", ".png")


@bp.get("/outbox")
def waiting() -> ResponseReturnValue:
    """What this phone holds that the server has not taken; it lists nothing of the server's."""
    return render_template("outbox.html")


@bp.get("/outbox/token")
def token() -> ResponseReturnValue:
    """A token for what was typed before the session began, for somebody who is logged in."""
    return jsonify(csrf_token=generate_csrf())


@bp.get("/worker.js")
def worker() -> ResponseReturnValue:
    """The service worker, with the addresses of all that a page needs beside itself."""
    files = sorted(path.name for path in show.STATIC.iterdir() if path.suffix in TO_KEEP)
    kept = [url_for("outbox.waiting"), *(show.asset(name) for name in files)]
    source = (show.STATIC / "worker.js").read_text(encoding="utf-8")
    answer = Response(f"const KEPT = {json.dumps(kept)};\n{source}", mimetype="text/javascript")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@bp.get("/app.webmanifest")
def manifest() -> ResponseReturnValue:
    """What a phone shows when the pages are put on its first screen."""
    answer = jsonify(
        name="Sillbook",
        short_name="Sillbook",
        start_url=url_for("home.home"),
        display="standalone",
        background_color="#fbf9f4",
        theme_color="#fbf9f4",
        icons=[{"src": show.asset("icon.svg"), "sizes": "any", "type": "image/svg+xml"}],
    )
    answer.mimetype = "application/manifest+json"
    return answer


def start(app: Flask) -> None:
    """Take what is sent under a name once, however often it comes."""
    app.before_request(_named)
    app.after_request(_answered)
    app.register_error_handler(SentBefore, _again)


def _named() -> None:
    once = sending.name_of(request.headers.get(ONCE) or request.form.get("once"))
    if request.method != "POST" or once is None or asking() is None:
        return
    sending.begin(work(), once)
    g.once = once


def _again(error: SentBefore) -> ResponseReturnValue:
    if request.accept_mimetypes.best == "application/json":
        return jsonify(files=[{"name": "", "again": True}])
    return Response(status=303, headers={"Location": error.there or url_for("home.home")})


def _answered(response: Response) -> Response:
    """To a script that sends a form: where to go next, as a value; a redirect would be followed
    unseen, and what the next page has to say once would be said to nobody.
    """
    once = g.get("once")
    there = response.headers.get("Location", "")
    if response.status_code not in (302, 303) or not request.headers.get(ONCE):
        return response
    if urlsplit(there).path == url_for("people.log_in"):
        return jsonify(login=there)
    if once is not None:
        sending.led(work(), once, there)
    return jsonify(there=there)
