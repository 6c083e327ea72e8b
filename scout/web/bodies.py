"""Pages that take long to draw are drawn once as long as nothing that they show changes, and not even
looked up as long as nothing at all does.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Any

from flask import render_template, request
from markupsafe import Markup

from scout.pages.once import content_key
from scout.store import engine as databases
from scout.web.work import begin_again, reading_as, settings, units, work

MOST = 128  # of about 100 kB each
QUARTER_S = 15 * 60  # a new day begins at a full quarter of an hour in every zone
_drawn: OrderedDict[str, Any] = OrderedDict()
_lock = Lock()


def body(template: str, rests_on: tuple[Any, ...], make: Callable[[], dict[str, Any]]) -> Markup:
    """A part of a page, from what it rests on: every record and every answer of the address that
    can be seen in it. What is of one session (a form's token, who asks) has no place in it.

    make: what the template is given, worked out where it is not drawn yet
    """
    key = content_key((settings().url, template, units(), *rests_on))
    # a template escapes
    drawn: Markup = _kept(key, lambda: Markup(render_template(template, **make())))  # noqa: S704
    return drawn


def unchanged(make: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """What the template of an address is given: plain values, which nothing but the database, the
    address, who reads, their units and the day tell from each other.
    """
    begin_again()  # so that what is read now is no older than the stamp
    of = settings().url
    now = int(work().now().timestamp()) // QUARTER_S
    rests_on = (of, databases.stamp(of), request.full_path, units(), reading_as(), now)
    found: dict[str, Any] = _kept(content_key(rests_on), make)
    return found


def _kept(key: str, make: Callable[[], Any]) -> Any:
    with _lock:
        if key in _drawn:
            _drawn.move_to_end(key)
            return _drawn[key]
    made = make()
    with _lock:
        _drawn[key] = made
        while len(_drawn) > MOST:
            _drawn.popitem(last=False)
    return made
