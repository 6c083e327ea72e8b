"""Kept files on their way to a browser, from this machine's disk or from wherever they lie."""

from __future__ import annotations

from pathlib import Path

from flask import Response, request, send_file
from flask.typing import ResponseReturnValue
from werkzeug.wsgi import wrap_file

from scout.store.files import Held

AT_ONCE = 256 * 1024


def send(held: Held | Path, mimetype: str, name: str | None = None) -> ResponseReturnValue:
    """A file as it lies, or the part of it that is asked for; under a name it is one to save."""
    path = held if isinstance(held, Path) else held.path
    if path is not None or isinstance(held, Path):
        return send_file(
            path or "",
            mimetype,
            as_attachment=name is not None,
            download_name=name,
            conditional=True,
        )
    answer = Response(
        wrap_file(request.environ, held.open(), AT_ONCE), mimetype=mimetype, direct_passthrough=True
    )
    answer.content_length = held.bytes
    answer.set_etag(held.name.rpartition("/")[2])  # an original is called by its SHA-256
    if name is not None:
        answer.headers.set("Content-Disposition", "attachment", filename=name)
    return answer.make_conditional(request.environ, accept_ranges=True, complete_length=held.bytes)
