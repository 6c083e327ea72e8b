"""Every error as a page in the same look, and what was typed never lost. Nothing else turns errors
into statuses.
"""

from __future__ import annotations

import logging
from http import HTTPStatus
from typing import Any

from flask import Flask, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

from scout.errors import (
    Damaged,
    Full,
    NotAllowed,
    NotFound,
    OutOfRange,
    Refused,
    RefusedMany,
    ScoutError,
    Stale,
    Unavailable,
    shorten,
)
from scout.settings import MEGABYTE
from scout.usecases.work import foreseen
from scout.values import Figure, Said, said
from scout.web.security import FORM_MOST_BYTES, UPLOADS, for_programs
from scout.web.work import begin_again, settings

log = logging.getLogger("scout.web")
SECRET = frozenset({"csrf_token", "password", "again", "old", "new", "passphrase", "version"})
TITLES = {
    400: "That could not be read",
    401: "You are not logged in any more",
    403: "That is not for you to do",
    404: "There is nothing here",
    405: "That cannot be done here",
    409: "Somebody else changed it",
    413: "That is too large",
    422: "That cannot be accepted",
    429: "Too many tries",
    500: "Something went wrong here",
    503: "That is not to be had now",
    507: "The disk is full",
}
WORDS = {
    400: "The request was not complete. Go back and try again.",
    401: "Log in in another window, then send the form again from the page you came from.",
    403: "Ask somebody who may.",
    404: "It may have been deleted, or the address has a slip in it.",
    405: "Go back and use the buttons of the page.",
    500: "It is our fault, not yours, and it was written to the log. Nothing half done was kept.",
    503: "Try again in a moment; what was typed is below.",
}
FOR_PROGRAMS = {
    401: said("api.login"),
    415: said("api.json_wanted"),
    428: said("api.version_missing"),
}
STATUS: tuple[tuple[type[ScoutError], int], ...] = (
    (NotFound, 404),
    (NotAllowed, 403),
    (Stale, 409),
    (OutOfRange, 422),
    (Refused, 422),
    (RefusedMany, 422),
    (Full, 507),
    (Unavailable, 503),
    (Damaged, 500),
)


def typed_text() -> list[tuple[str, str]]:
    """What a refused request carried, so that no typed text is lost with it; passwords never."""
    if request.method != "POST" or request.endpoint in {
        "people.log_in_now",
        "people.first_user",
        "people.password",
        "leaving.leave",
        "codes.ask",
        "codes.off",
        "codes.show",
    }:
        return []
    try:
        pairs = list(request.form.items(multi=True))
    except HTTPException:
        return []
    return [
        (name.replace("_", " "), text)
        for name, text in pairs
        if name not in SECRET and not name.endswith("version") and text.strip()
    ][:500]


def problem(status: int, error: ScoutError | None, detail: str | None) -> ResponseReturnValue:
    """An error as programs read it (RFC 9457): each field, what was given, what would do."""
    begin_again()
    refusals = error.refusals if isinstance(error, RefusedMany) else (error,)
    told: dict[str, Any] = {
        "type": "about:blank",
        "title": TITLES.get(status, HTTPStatus(status).phrase),
        "status": status,
        "detail": detail or HTTPStatus(status).description or HTTPStatus(status).phrase,
    }
    errors = [
        {"field": one.path, "given": shorten(one.given), "because": str(one.because)}
        for one in refusals
        if isinstance(one, Refused)
    ]
    if errors:
        told["errors"] = errors
    if isinstance(error, Stale):
        told |= {"yours": error.yours, "theirs": error.theirs, "version": error.version}
    answer = jsonify(told)
    answer.mimetype = "application/problem+json"
    if status == 401:
        answer.headers["WWW-Authenticate"] = "Bearer"
    return answer, status


def page(status: int, words: str | list[str] | None = None, **more: Any) -> ResponseReturnValue:
    """The page of an error."""
    begin_again()
    said = (
        words
        if isinstance(words, list)
        else [
            words or WORDS.get(status, HTTPStatus(status).description or HTTPStatus(status).phrase)
        ]
    )
    if request.accept_mimetypes.best == "application/json":
        return jsonify(
            {"error": TITLES.get(status, HTTPStatus(status).phrase), "because": said}
        ), status
    return render_template(
        "error.html",
        status=status,
        title=TITLES.get(status, HTTPStatus(status).phrase),
        said=said,
        typed=typed_text(),
        **more,
    ), status


def _scout(error: ScoutError) -> ResponseReturnValue:
    status = next((code for kind, code in STATUS if isinstance(error, kind)), 500)
    if status == 500:
        log.error("%s (%s) on %s", type(error).__name__, code_of(error), rule())
    if for_programs():
        return problem(status, error, str(error))
    return page(status, str(error).splitlines())


def _http(error: HTTPException) -> ResponseReturnValue:
    if error.code is None or error.code < 400:
        return error
    if for_programs():
        told = FOR_PROGRAMS.get(error.code)
        return problem(error.code, None, None if told is None else str(told))
    return page(error.code)


def _too_large(_error: RequestEntityTooLarge) -> ResponseReturnValue:
    of = settings()
    megabytes = (
        of.max_recording_bytes if request.endpoint == "sound.upload" else of.max_upload_bytes
    ) / MEGABYTE
    told = (
        said("refused.files_too_large", megabytes=Figure(megabytes))
        if request.endpoint in UPLOADS
        else said("refused.form_too_large", megabytes=Figure(FORM_MOST_BYTES / MEGABYTE))
    )
    return problem(413, None, str(told)) if for_programs() else page(413, str(told))


def _csrf(_error: CSRFError) -> ResponseReturnValue:
    if for_programs():
        return problem(400, None, str(said("api.session_writes")))
    return page(
        400,
        "This form was opened in another session, or came from elsewhere, so it was not saved. Open it again and copy back what is below.",
    )


def _unforeseen(error: Exception) -> ResponseReturnValue:
    meant = foreseen(error)
    if meant is not None:
        log.error("%s (%s) on %s", type(meant).__name__, code_of(meant), rule())
        return _scout(meant)
    log.exception("unforeseen error on %s", rule(), exc_info=error)
    return problem(500, None, WORDS[500]) if for_programs() else page(500)


def rule() -> str:
    """What was asked for, without what stood in the address: a token, a name, a number."""
    found = request.url_rule
    return f"{request.method} {found.rule if found is not None else 'no address of ours'}"


def code_of(error: ScoutError) -> str:
    """What a refusal is called: its words may hold what somebody typed."""
    meant = error.args[-1] if error.args else None
    return meant.code if isinstance(meant, Said) else ""


def register(app: Flask) -> None:
    """Put the error pages on the application."""
    app.register_error_handler(ScoutError, _scout)
    app.register_error_handler(RequestEntityTooLarge, _too_large)
    app.register_error_handler(CSRFError, _csrf)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unforeseen)
