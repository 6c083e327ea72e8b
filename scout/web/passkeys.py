"""Passkeys: made, listed, removed, and logged in with. What a browser needs for its question goes as
JSON to a script; what it answers comes back in a form.
"""

from __future__ import annotations

from typing import Any, cast
from urllib.parse import urlsplit

from flask import Blueprint, Response, flash, jsonify, redirect, request, session, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused
from scout.records import TokenRecord
from scout.usecases import passkeys, people
from scout.usecases.work import Who
from scout.values import said
from scout.web.people import TOO_MANY, address, begin_session, device, remember_device
from scout.web.security import safe_path
from scout.web.work import asking, begin_again, settings, work

bp = Blueprint("passkeys", __name__)
ASKED = "passkey"  # of a session: what was asked of a device, and to what end
TRY_LATER = {"Retry-After": "600"}


def site() -> passkeys.Site:
    """The host that is asked for, as a key knows it."""
    scheme = "https" if settings().https else request.scheme
    return passkeys.Site(
        urlsplit(f"//{request.host}").hostname or "", f"{scheme}://{request.host}".lower()
    )


def _ask(end: str, question: passkeys.Question, options: str) -> Response:
    session[ASKED] = [end, question.challenge, question.asked_at]
    return Response(options, mimetype="application/json")


def _asked(end: str) -> passkeys.Question:
    kept: Any = session.pop(ASKED, None) or ("", "", 0.0)
    return passkeys.Question(kept[1] if kept[0] == end else "", float(kept[2]))


def _refused(because: object, status: int = 422) -> ResponseReturnValue:
    return jsonify(because=str(because)), status


@bp.post("/passkeys/ask", endpoint="ask_to_add")
def ask_to_add() -> ResponseReturnValue:
    """What a browser needs to make a key, for whoever knows the password."""
    whose = (cast(Who, asking()).email, address(), device())
    taken = people.may_try(work(), *whose)
    if taken is None:
        return *cast(tuple[Any, int], _refused(TOO_MANY, 429)), TRY_LATER
    try:
        question, options = passkeys.ask_to_add(work(), request.form.get("old", ""), site())
    except Refused as refusal:
        begin_again()
        return _refused(said("passkey.password", because=refusal.because))  # type: ignore[arg-type]
    people.was_right(work(), taken, *whose)
    work().commit()
    return _ask("add", question, options)


@bp.post("/passkeys")
def add() -> ResponseReturnValue:
    """Keep the key that answered."""
    question = _asked("add")
    record = TokenRecord(name=request.form.get("name", "").strip()[:300] or "Passkey")
    try:
        passkeys.add(work(), question, site(), request.form.get("credential", ""), record)
    except Refused as refusal:
        return _refused(refusal.because)
    flash(str(said("passkey.added")))
    return jsonify(there=url_for("codes.show"))


@bp.post("/passkeys/<int:passkey_id>/remove")
def remove(passkey_id: int) -> ResponseReturnValue:
    """Let a key open nothing any more."""
    passkeys.remove(work(), passkey_id)
    flash(str(said("passkey.removed")))
    return redirect(url_for("codes.show"), code=303)


@bp.post("/login/passkey/ask")
def ask() -> ResponseReturnValue:
    """What a browser needs to ask whichever key somebody has."""
    return _ask("in", *passkeys.ask(work(), site()))


@bp.post("/login/passkey")
def log_in() -> ResponseReturnValue:
    """Log in by a key."""
    question = _asked("in")
    who = passkeys.who_answers(work(), question, site(), request.form.get("credential", ""))
    if who is None:
        return _refused(said("passkey.unknown"))
    begin_session(who)
    there = safe_path(request.form.get("then", ""), url_for("home.home"))
    return remember_device(jsonify(there=there))
