"""What a request needs: its unit of work, who asks, and how this person reads figures."""

from __future__ import annotations

from contextlib import ExitStack
from typing import Any, cast

from flask import Flask, current_app, g, request, session
from flask_login import current_user

from scout.packet.privacy import Reader as PaperReader
from scout.settings import Settings
from scout.units import Units
from scout.usecases import locations
from scout.usecases.roles import reads_as
from scout.usecases.work import Who, Work, open_work
from scout.words import Reader, set_reader

READING = frozenset({"GET", "HEAD", "OPTIONS"})


def settings() -> Settings:
    """The installation's settings."""
    return cast(Settings, current_app.config["SILLBOOK"])


def work() -> Work:
    """The request's one unit of work, opened when first asked for and closed with the request."""
    if "work" not in g:
        g.work_stack = ExitStack()
        g.work = g.work_stack.enter_context(
            open_work(settings(), asking(), reading=request.method in READING, reader=reading_as())
        )
    return cast(Work, g.work)


def looking() -> Work:
    """The request's unit of work while it only looks, whatever its method: nobody's save waits for
    what a form is judged beside or what is worked out of a photo. `saving` ends that.
    """
    opened = work()
    opened.read_first()
    return opened


def saving() -> Work:
    """The request's unit of work, which may write from now on."""
    opened = work()
    opened.db.rollback()
    return opened


def begin_again() -> None:
    """Forget a unit of work that was refused, so that the page shown next reads what is kept and
    nothing half done.
    """
    _close()


def asking() -> Who | None:
    """The person logged in, or in whose name a program asks, if any."""
    by_token: Who | None = g.get("by_token")
    if by_token is not None:
        return by_token
    return cast(Who, current_user.who) if current_user.is_authenticated else None


def visiting() -> PaperReader | None:
    """As which reader of paper somebody looks who holds a link and is not logged in."""
    return cast("PaperReader | None", g.get("reader"))


def reading_as() -> PaperReader | None:
    """As which reader of paper whoever asks sees facts; None: all of them."""
    who = asking()
    return visiting() or (reads_as(who.role) if who is not None else None)


def units() -> Units:
    """Metric or feet, as this person chose, else as the installation is set."""
    chosen: Any = session.get("units")
    return "feet" if (chosen or settings().units) == "feet" else "metric"


def home_zone() -> str | None:
    """The clock by which this person is told when something was done here: that of most places.
    What was said so is to be named once on the page.
    """
    if asking() is None:
        return None
    if "home_zone" not in g:
        g.home_zone = locations.home_zone(work())
    return cast("str | None", g.home_zone)


def _close(_error: BaseException | None = None) -> None:
    stack = g.pop("work_stack", None)
    g.pop("work", None)
    if stack is not None:
        stack.close()


def close_after_requests(app: Flask) -> None:
    """Say values for who asks, and close each request's unit of work when the request ends; what was not committed is rolled
    back.
    """
    app.before_request(lambda: set_reader(Reader(units(), home=home_zone)))
    app.teardown_request(_close)
