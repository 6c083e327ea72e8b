"""Originals on their way in: written once, where they will lie, and hashed while they arrive."""

from __future__ import annotations

import shutil
from typing import Any

import flask
from werkzeug.datastructures import FileStorage
from werkzeug.http import parse_options_header

from scout.store.files import Arriving
from scout.usecases.work import place_of
from scout.web.security import UPLOADS
from scout.web.work import settings

BARE = "application/octet-stream"
AT_ONCE_BYTES = 262_144


class Request(flask.Request):
    """A request whose photos and recordings need no second copy to be kept."""

    def _get_file_stream(self, *sizes: Any, **named: Any) -> Any:
        if self.endpoint in UPLOADS:
            return Arriving(place_of(settings()).scratch)
        return super()._get_file_stream(*sizes, **named)

    def bare_file(self) -> FileStorage | None:
        """The file that is the whole body, as the phone's own sending has it: a form's parser goes five
        times over each byte. None: the body is a form. Whoever asks closes it.
        """
        if self.mimetype != BARE:
            return None
        told = parse_options_header(self.headers.get("Content-Disposition", ""))[1]
        into = Arriving(place_of(settings()).scratch)
        try:
            shutil.copyfileobj(self.stream, into, AT_ONCE_BYTES)
        except BaseException:
            into.close()
            raise
        into.seek(0)
        return FileStorage(into, told.get("filename"))  # type: ignore[arg-type]  # it is one to whoever reads
