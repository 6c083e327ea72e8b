"""Logging in and out, the first person, and passwords."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from flask import (
    Blueprint,
    Flask,
    Response,
    abort,
    flash,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from flask.typing import ResponseReturnValue
from flask_limiter import Limiter
from flask_login import LoginManager, UserMixin, current_user, login_user, logout_user

from scout.errors import NotAllowed, Refused, RefusedMany
from scout.usecases import people
from scout.usecases.work import Who, open_work
from scout.web.forms.people import FirstUserForm, LoginForm, PasswordForm
from scout.web.security import from_this_machine, safe_path
from scout.web.work import asking, begin_again, settings, work

bp = Blueprint("people", __name__)
manager = LoginManager()
PER_ADDRESS = "20 per 10 minutes"
PER_ACCOUNT = "10 per 10 minutes"
WRONG = "E-mail and password do not belong together. Check both; after ten wrong tries an account rests for ten minutes."


@dataclass
class LoggedIn(UserMixin):  # type: ignore[misc]
    """The person of a session."""

    who: Who
    name: str  # what the session keeps

    def get_id(self) -> str:
        """What names the person in the session."""
        return self.name


def _address() -> str:
    return request.remote_addr or "unknown"


def _account() -> str:
    return request.form.get("email", "").strip().lower()[:200] or _address()


def _was_refused(response: Response) -> bool:
    return response.status_code == 422


limiter = Limiter(_address, storage_uri="memory://", strategy="moving-window")


@manager.user_loader  # type: ignore[untyped-decorator]
def load(name: str) -> LoggedIn | None:
    """The person whom a session names, as long as the password is the one it began with."""
    with open_work(settings(), reading=True) as reading:
        who = people.person_of_session(reading, name)
    return LoggedIn(who, name) if who else None


def _begin_session(who: Who) -> None:
    session.permanent = True
    login_user(LoggedIn(who, people.session_name(work(), who.id)))


def start(app: Flask) -> None:
    """Put login on the application."""
    manager.init_app(app)
    manager.session_protection = "basic"
    limiter.init_app(app)


@bp.get("/login")
def log_in() -> ResponseReturnValue:
    """The page to log in."""
    if current_user.is_authenticated:
        return redirect(url_for("home.home"))
    if not people.any_person(work()):
        return redirect(url_for("people.first_user"))
    return render_template("people/login.html", form=LoginForm(), then=request.args.get("then", ""))


@bp.post("/login", endpoint="log_in_now")
@limiter.limit(PER_ADDRESS, deduct_when=_was_refused)
@limiter.limit(PER_ACCOUNT, key_func=_account, deduct_when=_was_refused)
def log_in_now() -> ResponseReturnValue:
    """Log in; when refused, the address typed stays."""
    form = LoginForm(request.form)
    who = people.log_in(work(), form.email.text, form.password.text)
    if who is None:
        form.showing(Refused("email", None, WRONG))
        return render_template(
            "people/login.html", form=form, then=request.form.get("then", "")
        ), 422
    _begin_session(who)
    return redirect(safe_path(request.form.get("then"), url_for("home.home")))


@bp.post("/logout")
def log_out() -> ResponseReturnValue:
    """Log out, and forget the session."""
    logout_user()
    session.clear()
    return redirect(url_for("people.log_in"))


@bp.route("/first-user", methods=["GET", "POST"])
def first_user() -> ResponseReturnValue:
    """The first person, entered on the machine itself; afterwards nobody can be added here."""
    if people.any_person(work()):
        return redirect(url_for("people.log_in")) if request.method == "GET" else abort(403)
    if not from_this_machine():
        raise NotAllowed(
            "nobody can log in yet. The first person is added on the machine itself: open this page there, or run `scout user add`"
        )
    form = FirstUserForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return render_template("people/first_user.html", form=form)
    try:
        people.add_person(work(), form.record(), form.password.text, only_first=True)
    except (Refused, RefusedMany) as refusal:
        return render_template("people/first_user.html", form=form.showing(refusal)), 422
    who = cast(Who, people.log_in(work(), form.email.text, form.password.text))
    _begin_session(who)
    return redirect(url_for("home.home"))


@bp.route("/password", methods=["GET", "POST"])
@limiter.limit(PER_ACCOUNT, deduct_when=_was_refused)
def password() -> ResponseReturnValue:
    """A new password for the person logged in; this session goes on, all others end."""
    form = PasswordForm(request.form if request.method == "POST" else None)
    if request.method == "GET":
        return render_template("people/password.html", form=form)
    try:
        people.change_password(work(), form.old.text, form.wanted())
    except Refused as refusal:
        begin_again()
        return render_template("people/password.html", form=form.showing(refusal)), 422
    _begin_session(cast(Who, asking()))
    flash("The password is changed. Wherever else you were logged in, you are logged out.")
    return redirect(url_for("home.home"))
