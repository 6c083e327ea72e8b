"""The second step at log-in: switched on, asked for, switched off, and ended for who lost the phone."""

from __future__ import annotations

import time
from typing import cast

import segno
from flask import (
    Blueprint,
    flash,
    make_response,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from scout.errors import Refused
from scout.usecases import codes, passkeys, people
from scout.usecases.work import Who
from scout.values import Name, said
from scout.web.forms.people import CodeForm, LeaveForm
from scout.web.people import HALF, TOO_MANY, address, begin_session, device, remember_device
from scout.web.security import safe_path
from scout.web.work import asking, begin_again, work

bp = Blueprint("codes", __name__)
HALF_LASTS_S = 300
TRY_LATER = {"Retry-After": "600"}


@bp.route("/code", methods=["GET", "POST"])
def show() -> ResponseReturnValue:
    """How it stands; a first code switches it on."""
    form = CodeForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return _page(form)
    if codes.standing(work()) is None:
        codes.begin(work())
        return redirect(url_for("codes.show"), code=303)
    try:
        return _page(form, given=codes.confirm(work(), form.code.text))
    except Refused as refusal:
        begin_again()
        return _page(form.showing(refusal)), 422


def _page(form: CodeForm, off: LeaveForm | None = None, given: tuple[str, ...] = ()) -> str:
    line = codes.standing(work())
    picture = None
    if line is not None and line.address is not None:
        code = segno.make(line.address, micro=False)
        picture = Markup(code.svg_inline(scale=5, dark="#000", light="#fff"))  # noqa: S704  # of numbers
    return render_template(
        "people/code.html",
        form=form,
        off=off or LeaveForm(None),
        line=line,
        picture=picture,
        given=given,
        passkeys=passkeys.passkeys(work()),
    )


@bp.post("/code/off", endpoint="off")
def switch_off() -> ResponseReturnValue:
    """Ask for no code any more, or hand out new recovery codes; either by the password."""
    form = LeaveForm(request.form)
    whose = (cast(Who, asking()).email, address(), device())
    taken = people.may_try(work(), *whose)
    if taken is None:
        form.showing(Refused("old", None, TOO_MANY))
        return _page(CodeForm(None), form), 429, TRY_LATER
    given: tuple[str, ...] = ()
    try:
        if request.form.get("anew"):
            given = codes.anew(work(), form.old.text)
        else:
            codes.switch_off(work(), form.old.text)
    except Refused as refusal:
        begin_again()
        return _page(CodeForm(None), form.showing(refusal)), 422
    people.was_right(work(), taken, *whose)
    work().commit()
    if given:
        return _page(CodeForm(None), given=given)
    flash(str(said("code.off")))
    return redirect(url_for("codes.show"), code=303)


@bp.route("/login/code", methods=["GET", "POST"])
def ask() -> ResponseReturnValue:
    """The code of somebody whose password was right a moment ago."""
    key, email, at = session.get(HALF) or (0, "", 0)
    if not 0 <= time.time() - at <= HALF_LASTS_S:
        session.pop(HALF, None)
        return redirect(url_for("people.log_in"))
    then = request.values.get("then", "")
    form = CodeForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return render_template("people/login_code.html", form=form, then=then)
    whose = (f"code {email}", address(), device())
    taken = people.may_try(work(), *whose)
    if taken is None:
        form.showing(Refused("code", None, TOO_MANY))
        return render_template("people/login_code.html", form=form, then=then), 429, TRY_LATER
    who = codes.passes(work(), key, form.code.text)
    if who is None:
        begin_again()
        form.showing(Refused("code", None, said("code.wrong")))
        return render_template("people/login_code.html", form=form, then=then), 422
    people.was_right(work(), taken, *whose)
    begin_session(who)
    return remember_device(make_response(redirect(safe_path(then, url_for("home.home")))))


@bp.post("/people/<email>/code-off")
def end(email: str) -> ResponseReturnValue:
    """Ask somebody for no code any more, whose phone is lost."""
    name = people.called(work(), email).name
    codes.end(work(), email)
    flash(str(said("code.ended", name=Name(name))))
    return redirect(url_for("people.everybody"), code=303)
