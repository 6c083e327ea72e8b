"""Pages that take long to draw are drawn once as long as nothing that they show changes."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Any

from flask import render_template
from markupsafe import Markup

from scout.pages.once import content_key
from scout.web.work import units

MOST = 128  # of about 100 kB each
_drawn: OrderedDict[str, Markup] = OrderedDict()
_lock = Lock()


def body(template: str, rests_on: tuple[Any, ...], make: Callable[[], dict[str, Any]]) -> Markup:
    """A part of a page, from what it rests on: every record and every answer of the address that
    can be seen in it. What is of one session (a form's token, who asks) has no place in it.

    make: what the template is given, worked out where it is not drawn yet
    """
    key = content_key((template, units(), *rests_on))
    with _lock:
        if key in _drawn:
            _drawn.move_to_end(key)
            return _drawn[key]
    drawn = Markup(render_template(template, **make()))  # noqa: S704  # a template escapes
    with _lock:
        _drawn[key] = drawn
        while len(_drawn) > MOST:
            _drawn.popitem(last=False)
    return drawn
