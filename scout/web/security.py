"""What keeps strangers out and pages honest: headers, a login on every page, limits of size, and
forms that come from here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Flask, Response, abort, current_app, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFProtect

from scout.errors import NotAllowed
from scout.settings import MEGABYTE, Settings
from scout.usecases import people
from scout.values import Word, said
from scout.web.rules import is_open, may_go
from scout.web.work import asking, settings, work

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "media-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": (
        "camera=(self), microphone=(self), geolocation=(self), accelerometer=(self),"
        " gyroscope=(self), magnetometer=(self), payment=(), usb=()"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
API = "/api/v1"
FORM_MOST_BYTES = (
    16 * MEGABYTE
)  # a text of a million characters, four bytes each, as a browser encodes it
FILES_AT_ONCE = 10  # an upload without scripts sends all its files in one request
SHEET_MOST_BYTES = 20 * MEGABYTE
UPLOADS = frozenset(
    {
        "photos.upload",
        "sound.upload",
        "api.post_rooms_owner_id_photos",
        "api.post_locations_owner_id_photos",
    }
)
FORWARDED = (
    "Forwarded",
    "X-Forwarded-For",
    "X-Forwarded-Host",
    "X-Forwarded-Proto",
    "X-Real-Ip",
    "Via",
)
LOOPBACK = frozenset({"127.0.0.1", "::1", "::ffff:127.0.0.1"})
LOCAL_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})

ODD_HOST = b"The name of the host is not one that a machine can have.\n"
HOST, HOST_MOST = re.compile(r"[A-Za-z0-9._:\[\]-]*"), 260  # RFC 1035: 253, and a port

csrf = CSRFProtect()


def guard(app: Flask) -> None:
    """Put all of it on the application; limits of size first, for the check of forms already reads
    the request.
    """
    app.wsgi_app = OddHosts(app.wsgi_app)  # type: ignore[assignment,method-assign]
    app.before_request(_limit_size)
    csrf.init_app(app)
    app.before_request(_need_login)
    app.before_request(_need_right)
    app.after_request(_headers)


class OddHosts:
    """Refuses a request whose Host is no name a machine can have, before anything reads it."""

    def __init__(self, app: WSGIApplication) -> None:
        self.app = app

    def __call__(self, environ: WSGIEnvironment, start: StartResponse) -> Iterable[bytes]:
        """Answer 400 in plain words, or hand on."""
        host = environ.get("HTTP_HOST", "")
        if len(host) <= HOST_MOST and HOST.fullmatch(host):
            return self.app(environ, start)
        return plain(start, "400 Bad Request", ODD_HOST)


def plain(start: StartResponse, status: str, body: bytes) -> Iterable[bytes]:
    """An answer in plain words from before any page, under the headers that every page has."""
    kind = {"Content-Type": "text/plain; charset=utf-8", "Content-Length": str(len(body))}
    start(status, [*(kind | HEADERS | {"Cache-Control": "no-store"}).items()])
    return [body]


def largest_request_bytes(of: Settings) -> int:
    """The largest request that a page reads, so that the server in front lets it through and the
    page itself says the limit.
    """
    return max(_photos_bytes(of), recordings_bytes(of), SHEET_MOST_BYTES + MEGABYTE)


def _photos_bytes(of: Settings) -> int:
    return of.max_upload_bytes * FILES_AT_ONCE + MEGABYTE


def recordings_bytes(of: Settings) -> int:
    """The largest request with recordings in it: one of the largest, or many small ones. The script
    sends them one by one.
    """
    return of.max_recording_bytes + FORM_MOST_BYTES


def _limit_size() -> None:
    if request.endpoint == "sound.upload":
        request.max_content_length = recordings_bytes(settings())
    elif request.endpoint in UPLOADS:
        request.max_content_length = _photos_bytes(settings())
    elif request.endpoint in ("sheets.read_sheet", "files.read"):
        request.max_content_length = SHEET_MOST_BYTES + MEGABYTE
    request.max_form_memory_size = FORM_MOST_BYTES


def _need_login() -> ResponseReturnValue | None:
    if is_open(request.endpoint) or asking() is not None:
        return None
    if request.method != "GET" or for_programs():
        abort(401)
    if not people.any_person(work()):
        return redirect(url_for("people.first_user"))
    wanted = request.full_path.rstrip("?")
    return redirect(
        url_for("people.log_in", then=wanted) if wanted != "/" else url_for("people.log_in")
    )


def _need_right() -> None:
    """Whoever is logged in does what their role may; an address without a rule is refused."""
    endpoint, who = request.endpoint, asking()
    if endpoint is None or may_go(endpoint, request.method, request.view_args or {}):
        return
    raise NotAllowed(
        said("kept.not_your_role", role=Word("person_role", who.role if who else "guest"))
    )


def _headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if "tiles_origin" in g:  # a page with a map, whose pictures come from there
        response.headers["Content-Security-Policy"] = POLICY.replace(
            "img-src 'self'", f"img-src 'self' {g.tiles_origin}"
        )
    if current_app.config["SESSION_COOKIE_SECURE"]:
        response.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
    if request.endpoint not in ("static", "map.library"):
        # names, telephone numbers, gate codes: nothing of a page is left behind, nor of what is sent
        # as a file, which Flask would let anybody keep for as long as a script
        if response.cache_control.public:
            del response.headers["Cache-Control"]
        response.headers.setdefault("Cache-Control", "no-store")
    return response


def from_this_machine() -> bool:
    """Whether the request comes from the machine itself and was passed on by nobody.

    The name asked for must be the machine's own too: a page elsewhere can make its own name point
    at 127.0.0.1.
    """
    return (
        request.remote_addr in LOOPBACK
        and not any(name in request.headers for name in FORWARDED)
        and _is_local(urlsplit(f"//{request.host}").hostname or "")
    )


def _is_local(name: str) -> bool:
    """Whether a name leads nowhere but to the machine itself, whoever made it (RFC 6761)."""
    return name in LOCAL_NAMES or name.endswith(".localhost")


def for_programs() -> bool:
    """Whether an address of the JSON API is asked for: it answers with values, never with a page."""
    return request.path.startswith(f"{API}/")


def safe_path(target: str | None, otherwise: str) -> str:
    """A place of this application to go to next; anything that could lead elsewhere becomes
    `otherwise`.
    """
    if (
        not target
        or not target.startswith("/")
        or target.startswith("//")
        or "\\" in target
        or not target.isprintable()
    ):
        return otherwise
    parts = urlsplit(target)
    return otherwise if parts.scheme or parts.netloc else target
