"""The pages of several workspaces behind one address: the host that is asked for says whose, exactly or
not at all. Each has an application of its own, made when it is first asked for.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Iterable
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from flask import Flask

from scout import workspaces
from scout.errors import Refused, ScoutError
from scout.settings import Settings
from scout.store.engine import identity
from scout.values import Name, said
from scout.web.app import create_app
from scout.web.security import FORWARDED, LOOPBACK, plain

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

log = logging.getLogger("scout.web")
HELD_S = 2.0  # so long a workspace that was added or removed is not seen
NOWHERE = b"Nothing is kept here under this name.\n"
LATER = b"This cannot be shown now. Try again in a moment.\n"


class Workspaces:
    """A WSGI application that hands each request to the workspace of its host."""

    def __init__(self, base: Settings, folder: Path) -> None:
        self.base, self.folder = base, folder
        self._found: dict[str, workspaces.Workspace] = {}
        self._read_at = float("-inf")
        self._apps: dict[str, tuple[Settings, Flask, str]] = {}  # the last: which database
        self._book = Lock()
        self._making: dict[str, Lock] = {}

    def __call__(self, environ: WSGIEnvironment, start: StartResponse) -> Iterable[bytes]:
        """Answer as the host's workspace, or 404 in plain words that name nothing."""
        forwarded = any(f"HTTP_{one.upper().replace('-', '_')}" in environ for one in FORWARDED)
        near = environ.get("REMOTE_ADDR") in LOOPBACK and not forwarded
        try:
            one = workspaces.by_host(self.found(), environ.get("HTTP_HOST", ""), near=near)
            app = None if one is None else self.app_of(one)
        except (ScoutError, OSError) as error:
            log.warning("a workspace cannot be opened: %s", type(error).__name__)
            return plain(start, "503 Service Unavailable", LATER)
        if app is None:
            return plain(start, "404 Not Found", NOWHERE)
        return app(environ, start)

    def found(self) -> dict[str, workspaces.Workspace]:
        """The workspaces there are, looked for anew every few seconds. A file that somebody breaks
        closes no other group's pages: what was read before holds. Raises Damaged, Refused where
        nothing was.
        """
        with self._book:
            if time.monotonic() - self._read_at > HELD_S:
                try:
                    self._found = workspaces.all_in(self.folder)
                except (ScoutError, OSError) as error:
                    if not self._found:
                        raise
                    log.warning("a workspace cannot be read: %s", type(error).__name__)
                    self._found = {key: one for key, one in self._found.items() if one.is_there}
                self._apps = {key: app for key, app in self._apps.items() if key in self._found}
                self._read_at = time.monotonic()
            return self._found

    def app_of(self, one: workspaces.Workspace) -> Flask:
        """The application of a workspace. While one is being made the others answer. Raises Refused for
        a database that another has open, under whatever name.
        """
        settings = one.settings(self.base)
        with self._book:
            making = self._making.setdefault(one.name, Lock())
        with making:
            with self._book:
                kept = self._apps.get(one.name)
            if kept is not None and kept[0] == settings:
                return kept[1]
            app = create_app(settings)
            which = identity(settings.url)
            with self._book:
                for name, (*_, theirs) in self._apps.items():
                    if theirs == which and name != one.name:
                        raise Refused("--database", None, said("workspace.shared", name=Name(name)))
                self._apps[one.name] = settings, app, which
            return app
