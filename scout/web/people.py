"""Logging in and out, the first person, and passwords."""

from __future__ import annotations

import secrets
import time
from dataclasses import dataclass
from typing import cast

from flask import (
    Blueprint,
    Flask,
    Response,
    abort,
    current_app,
    flash,
    g,
    make_response,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from flask.typing import ResponseReturnValue
from flask_login import LoginManager, UserMixin, current_user, login_user, logout_user
from itsdangerous import BadSignature, URLSafeTimedSerializer

from scout.errors import NotAllowed, NotFound, Refused, RefusedMany, Unavailable
from scout.usecases import codes, inviting, people
from scout.usecases import tokens as token_deeds
from scout.usecases.demo import demonstrated
from scout.usecases.roles import ROLES
from scout.usecases.work import Who, open_work
from scout.values import Name, Said, Word, said
from scout.web.agents import browser_of
from scout.web.answer import form_of
from scout.web.forms.people import (
    FirstUserForm,
    InviteForm,
    JoinForm,
    LoginForm,
    PasswordForm,
    TokenForm,
)
from scout.web.security import for_programs, from_this_machine, safe_path
from scout.web.work import asking, begin_again, settings, units, work

bp = Blueprint("people", __name__)
bp.add_app_template_filter(browser_of)
manager = LoginManager()
HALF = "half"  # of a session: whose password was right, whose code is still to come
DEVICE, DEVICE_LASTS_S = "sillbook_device", 365 * 86_400
TOO_MANY, WRONG = said("kept.too_many_tries"), said("kept.wrong_login")


@dataclass
class LoggedIn(UserMixin):  # type: ignore[misc]
    """The person of a session."""

    who: Who
    name: str  # what the session keeps

    def get_id(self) -> str:
        """What names the person in the session."""
        return self.name


def address() -> str:
    return request.remote_addr or "unknown"


def device() -> str | None:
    """The mark of a browser that has logged in here before; a forged one is none."""
    try:
        mark: str = _signer().loads(request.cookies.get(DEVICE, ""), max_age=DEVICE_LASTS_S)
    except BadSignature:
        return None
    return mark


def _signer() -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(str(current_app.config["SECRET_KEY"]), salt="device")


def remember_device(answer: Response) -> Response:
    """Give a browser that has just logged in tries of its own."""
    mark = device() or secrets.token_urlsafe(16)
    answer.set_cookie(
        DEVICE,
        _signer().dumps(mark),
        max_age=DEVICE_LASTS_S,
        httponly=True,
        samesite="Lax",
        secure=current_app.config["SESSION_COOKIE_SECURE"],
    )
    return answer


@manager.user_loader  # type: ignore[untyped-decorator]
def load(name: str) -> LoggedIn | None:
    """The person of a session, as long as the server knows it. Raises Unavailable once a request: the
    page that says so is nobody's, and asks no more of a database that does not answer.
    """
    if g.get("nobody_known"):
        return None
    g.nobody_known = True
    with open_work(settings(), reading=True) as reading:
        who = people.person_of_session(reading, name)
    g.nobody_known = False
    return LoggedIn(who, name) if who else None


def begin_session(who: Who) -> None:
    csrf_token = session.get("csrf_token")
    session.clear()  # nothing of a stranger's session goes on
    session.permanent = True
    if csrf_token and current_user.is_authenticated:
        session["csrf_token"] = csrf_token
    login_user(LoggedIn(who, people.begin_session(work(), who.id, request.user_agent.string)))


def start(app: Flask) -> None:
    """Put login on the application."""
    manager.init_app(app)
    manager.session_protection = "basic"
    app.before_request(_by_token)


def _by_token() -> None:
    """Who asks the JSON API by a token; one that is wrong is refused, whatever session there is."""
    scheme, _, key = request.headers.get("Authorization", "").partition(" ")
    if not scheme or not for_programs():
        return
    with open_work(settings(), reading=True) as here:
        found = token_deeds.person_of_token(here, key.strip()) if scheme == "Bearer" else None
    if found is None:
        abort(401)
    g.by_token, due = found
    if due:
        with open_work(settings()) as here:
            token_deeds.was_used(here, key.strip())


@bp.get("/login")
def log_in() -> ResponseReturnValue:
    """The page to log in."""
    if current_user.is_authenticated:
        return redirect(url_for("home.home"))
    if not people.any_person(work()):
        return redirect(url_for("people.first_user"))
    return _log_in_page(LoginForm(), request.args.get("then", ""))


@bp.post("/login", endpoint="log_in_now")
def log_in_now() -> ResponseReturnValue:
    """Log in; when refused, the address typed stays."""
    form = LoginForm(request.form)
    whose = (form.email.text.strip().lower()[:200], address(), device())
    taken = people.may_try(work(), *whose)
    if taken is None:
        return _log_in_again(form, TOO_MANY), 429, {"Retry-After": "600"}
    who = people.log_in(work(), form.email.text, form.password.text)
    if who is None:
        return _log_in_again(form, WRONG), 422
    people.was_right(work(), taken, *whose)
    then = request.form.get("then", "")
    if codes.is_on(work(), who.id):
        session[HALF] = [who.id, who.email, int(time.time())]
        return redirect(url_for("codes.ask", then=then or None))
    begin_session(who)
    return remember_device(make_response(redirect(safe_path(then, url_for("home.home")))))


def _log_in_again(form: LoginForm, why: Said) -> str:
    form.showing(Refused("email", None, why))
    return _log_in_page(form, request.form.get("then", ""))


def _log_in_page(form: LoginForm, then: str) -> str:
    shown = demonstrated(work().settings)
    return render_template("people/login.html", form=form, then=then, demonstrated=shown)


@bp.post("/logout")
def log_out() -> ResponseReturnValue:
    """Log out: the session ends on the server, and its cookie is worth nothing."""
    if current_user.is_authenticated:
        people.end_session(work(), current_user.name)
    logout_user()
    session.clear()
    return redirect(url_for("people.log_in"))


@bp.get("/people")
def everybody() -> str:
    """All who may log in, and what each may do."""
    return _everybody()


def _everybody(refused: Refused | None = None) -> str:
    return render_template(
        "people/everybody.html",
        people=people.everybody(work()),
        invitations=inviting.invitations(work()),
        roles=ROLES,
        refused=refused,
    )


@bp.route("/people/invite", methods=["GET", "POST"])
def invite() -> ResponseReturnValue:
    """Invite somebody: the link is shown this once."""
    form = form_of(InviteForm)
    if request.method == "POST":
        try:
            record = form.record()
            return _link_shown(record.name, record.email, inviting.invite(work(), record))
        except RefusedMany as refusal:
            begin_again()
            return render_template("people/invite.html", form=form.showing(refusal)), 422
    return render_template("people/invite.html", form=form)


@bp.post("/people/<email>/reset")
def reset(email: str) -> ResponseReturnValue:
    """A link by which somebody chooses a new password, shown this once."""
    return _link_shown(people.called(work(), email).name, email, inviting.reset(work(), email))


def _link_shown(name: str, email: str, token: str) -> str:
    sent = None
    if inviting.mailable(work()):
        try:
            inviting.send(work(), email, token)
            sent = said("invite.sent", email=Name(email))
        except Unavailable:
            sent = said("invite.not_sent", name=Name(name))
    return render_template(
        "people/invite.html",
        form=None,
        name=name,
        line=inviting.opened(work(), token),
        address=inviting.address_of(work(), token, request.url_root),
        sent=sent,
    )


@bp.post("/people/invitations/<int:invitation_id>/revoke")
def revoke_invitation(invitation_id: int) -> ResponseReturnValue:
    """End a link that nobody has used yet."""
    inviting.revoke(work(), invitation_id)
    flash(str(said("invite.revoked")))
    return redirect(url_for("people.everybody"), code=303)


@bp.route("/join/<token>", methods=["GET", "POST"])
def join(token: str) -> ResponseReturnValue:
    """Choose the password that a link is for. Wrong links are throttled as wrong passwords are;
    nobody's guessing keeps the right one out.
    """
    try:
        line = inviting.opened(work(), token)
    except NotFound:
        begin_again()
        with open_work(settings()) as here:
            left = people.may_try(here, "a link to come in", address(), None)
        if left is None:
            abort(429)
        raise
    form = JoinForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return render_template("people/join.html", form=form, line=line)
    if people.may_try(work(), f"join {token}", address(), None) is None:
        form.showing(Refused("new", None, TOO_MANY))
        return _join_again(form, line), 429, {"Retry-After": "600"}
    try:
        inviting.come_in(work(), token, form.wanted())
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return _join_again(form.showing(refusal), line), 422
    logout_user()
    session.clear()
    flash(str(said("invite.done")))
    return redirect(url_for("people.log_in"), code=303)


def _join_again(form: JoinForm, line: inviting.InvitationLine) -> str:
    return render_template("people/join.html", form=form, line=line)


@bp.post("/people/<email>/role")
def set_role(email: str) -> ResponseReturnValue:
    """Say what somebody may do."""
    try:
        people.set_role(work(), email, request.form.get("role", ""))
    except Refused as refusal:
        begin_again()
        return _everybody(refusal), 422
    flash(str(said("done.role", role=Word("person_role", request.form["role"]))))
    return redirect(url_for("people.everybody"), code=303)


@bp.post("/people/<email>/remove")
def remove(email: str) -> ResponseReturnValue:
    """Let somebody log in no more."""
    try:
        people.remove_person(work(), email)
    except Refused as refusal:
        begin_again()
        return _everybody(refusal), 422
    flash(str(said("command.no_more", email=Name(email))))
    return redirect(url_for("people.everybody"), code=303)


@bp.get("/sessions")
def sessions() -> str:
    """Where the person is logged in."""
    return render_template(
        "people/sessions.html", sessions=people.sessions(work(), current_user.name)
    )


@bp.route("/tokens", methods=["GET", "POST"])
def tokens() -> ResponseReturnValue:
    """The tokens of the person, and a new one, whose key is shown once."""
    form, key = form_of(TokenForm), None
    status = 200
    if request.method == "POST":
        try:
            key = token_deeds.make_token(work(), form.record())
            form = TokenForm.blank_one(units=units())
        except RefusedMany as refusal:
            begin_again()
            form, status = form.showing(refusal), 422
    return render_template(
        "people/tokens.html", form=form, key=key, tokens=token_deeds.tokens(work())
    ), status


@bp.post("/tokens/<int:token_id>/revoke")
def revoke_token(token_id: int) -> ResponseReturnValue:
    """End one of one's own tokens."""
    token_deeds.revoke_token(work(), token_id)
    flash("The token is revoked.")
    return redirect(url_for("people.tokens"))


@bp.post("/sessions/<int:session_id>/end")
def end_session(session_id: int) -> ResponseReturnValue:
    """End one of one's own sessions."""
    people.end_one(work(), session_id)
    flash("That session is ended.")
    return redirect(url_for("people.sessions"))


@bp.route("/first-user", methods=["GET", "POST"])
def first_user() -> ResponseReturnValue:
    """The first person, entered on the machine itself; afterwards nobody can be added here."""
    if people.any_person(work()):
        return redirect(url_for("people.log_in")) if request.method == "GET" else abort(403)
    if not from_this_machine():
        raise NotAllowed(said("kept.nobody_yet"))
    form = FirstUserForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return render_template("people/first_user.html", form=form)
    try:
        people.add_person(work(), form.record(), form.password.text, only_first=True)
    except (Refused, RefusedMany) as refusal:
        return render_template("people/first_user.html", form=form.showing(refusal)), 422
    who = cast(Who, people.log_in(work(), form.email.text, form.password.text))
    begin_session(who)
    return redirect(url_for("home.home"))


@bp.route("/password", methods=["GET", "POST"])
def password() -> ResponseReturnValue:
    """A new password for the person logged in; this session goes on, all others end."""
    form = PasswordForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return render_template("people/password.html", form=form)
    whose = (cast(Who, asking()).email, address(), device())
    taken = people.may_try(work(), *whose)
    if taken is None:
        form.showing(Refused("old", None, TOO_MANY))
        return render_template("people/password.html", form=form), 429, {"Retry-After": "600"}
    try:
        people.change_password(work(), form.old.text, form.wanted())
    except Refused as refusal:
        begin_again()
        return render_template("people/password.html", form=form.showing(refusal)), 422
    people.was_right(work(), taken, *whose)
    begin_session(cast(Who, asking()))
    flash("The password is changed. Wherever else you were logged in, you are logged out.")
    return redirect(url_for("home.home"))
