"""The JSON API: the deeds of the forms for programs, which ask by a token in a person's name."""

from __future__ import annotations

import json
import re
from typing import Any, BinaryIO, cast

from flask import Blueprint, Response, abort, g, render_template, request
from flask.typing import ResponseReturnValue

from scout.assess.answers import as_json
from scout.errors import Refused, SentBefore
from scout.records import Record, RoomRecord, parse_json
from scout.usecases import sending
from scout.usecases.shown import Kept, PhotoAdded
from scout.usecases.work import Work, open_work
from scout.values import said
from scout.web.api.document import document, reading
from scout.web.api.endpoints import ENDPOINTS, SHOWING, Endpoint, FileAnswer, Made, PhotoFile
from scout.web.security import API, csrf
from scout.web.sending import send
from scout.web.work import asking, begin_again, settings, work

bp = Blueprint("api", __name__, url_prefix=API)
csrf.exempt(bp)  # whoever asks by a token sends no cookie that a foreign page could use
ONCE = "Idempotency-Key"
# a compressed answer's mark carries how it was compressed
VERSION = re.compile(r'(?:W/)?"?(\d{1,10})(?::\w+)?"?', re.ASCII)


@bp.before_request
def _from_here() -> None:
    """A browser's session may write here, but only with the token of its forms."""
    if "by_token" not in g:
        csrf.protect()


@bp.get("/openapi.json")
def openapi() -> ResponseReturnValue:
    """The whole of it as an OpenAPI document."""
    return _json(document())


@bp.get("/")
def show() -> ResponseReturnValue:
    """The same to read."""
    return render_template("api/show.html", **reading())


def _json(value: Any, status: int = 200) -> Response:
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    return Response(text, status, mimetype="application/json")


def _answer(endpoint: Endpoint, here: Work, values: dict[str, Any]) -> ResponseReturnValue:
    """What an address to read answers with; its version is the mark of what may be saved there."""
    found = endpoint.deed(here, **values, **endpoint.fixed)
    if endpoint.answers is FileAnswer:
        held, name, mime = found
        return send(held, mime, name)
    answer = _json(as_json(found))
    kept = found if isinstance(found, Kept) else getattr(found, "kept", None)
    if kept is not None:
        answer.set_etag(str(kept.version))
    return answer


def _version(endpoint: Endpoint) -> int | None:
    """The version that is saved over. Raises Refused; aborts with 428 where it is missing."""
    text = request.headers.get("If-Match", "").strip()
    if not text:
        return None if endpoint.versioned == "if_kept" else abort(428)
    number = VERSION.fullmatch(text)
    if number is None:
        raise Refused("If-Match", text, said("api.no_version"))
    return int(number[1])


def _record(endpoint: Endpoint) -> Record:
    if request.mimetype != "application/json":
        abort(415)
    record: Record = endpoint.takes.read(
        parse_json(request.get_data(), "body"), "room" if endpoint.takes is RoomRecord else ""
    )
    endpoint.refuse_elsewhere(record)
    return record


def _taken(endpoint: Endpoint) -> dict[str, Any]:
    """What was sent, under the names by which the deed takes it."""
    if endpoint.takes is None:
        return {}
    if endpoint.takes is not PhotoFile:
        return {endpoint.takes_as: _record(endpoint)}
    file = request.files.get("photo")
    if file is None:
        raise Refused("photo", None, said("api.no_photo"))
    return {"stream": cast(BinaryIO, file.stream), "name": file.filename or "photo"}


def _once() -> str | None:
    text = request.headers.get(ONCE)
    once = sending.name_of(text)
    if text is not None and once is None:
        raise Refused(ONCE, text, said("api.no_uuid"))
    return once


def _done(endpoint: Endpoint, path: dict[str, Any]) -> ResponseReturnValue:
    """Do the deed, once for each name it is sent under, and answer with what came of it."""
    values = path | endpoint.asked(request.args)
    if endpoint.versioned != "no":
        values["version"] = _version(endpoint)
    values |= _taken(endpoint)
    once = _once() if endpoint.makes else None
    try:
        if once is not None:
            sending.begin(work(), once)
        found = endpoint.deed(work(), **values, **endpoint.fixed)
    except SentBefore as before:
        there = before.there or ""
        key = there.rpartition("/")[2]
        return _json(as_json(Made(int(key) if key.isdecimal() else 0, there, again=True)))
    if endpoint.makes is not None:
        return _made(endpoint, found, once)
    if endpoint.shows is None:
        return Response(status=204)
    begin_again()
    shown = SHOWING[endpoint.shows]
    with open_work(settings(), asking(), reading=True) as here:
        return _answer(shown, here, dict(zip(shown.in_path, path.values(), strict=False)))


def _made(endpoint: Endpoint, found: Any, once: str | None) -> ResponseReturnValue:
    assert endpoint.makes is not None
    photo = found if isinstance(found, PhotoAdded) else None
    key = photo.id if photo is not None else found
    there = API + endpoint.makes.format(key=key)
    if once is not None:
        sending.led(work(), once, there)
    made = (
        Made(key, there)
        if photo is None
        else Made(key, there, False, tuple(map(str, photo.warnings)), photo.duplicate_of)
    )
    answer = _json(as_json(made), 201)
    answer.headers["Location"] = there
    return answer


def _add(endpoint: Endpoint) -> None:
    def view(**path: Any) -> ResponseReturnValue:
        if endpoint.method != "GET":
            return _done(endpoint, path)
        return _answer(endpoint, work(), path | endpoint.asked(request.args))

    bp.add_url_rule(endpoint.rule, endpoint.name, view, methods=[endpoint.method])


for _endpoint in ENDPOINTS:
    _add(_endpoint)
