"""Originals on their way in: written once, where they will lie, and hashed while they arrive."""

from __future__ import annotations

from typing import Any

import flask

from scout.store.files import Arriving
from scout.usecases.work import place_of
from scout.web.security import UPLOADS
from scout.web.work import settings


class Request(flask.Request):
    """A request whose photos and recordings need no second copy to be kept."""

    def _get_file_stream(self, *sizes: Any, **named: Any) -> Any:
        if self.endpoint in UPLOADS:
            return Arriving(place_of(settings()).scratch)
        return super()._get_file_stream(*sizes, **named)
