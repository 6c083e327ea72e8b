"""The pages as they are served: waitress on a port of its own, asked over a socket."""

from __future__ import annotations

import http.client
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from scout.cli.serve_command import listen, server_of
from scout.settings import Settings
from scout.usecases.work import prepare


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    text: str
    headers: Mapping[str, str]


@dataclass
class Visitor:
    """Somebody who asks the server, with the cookies it was given."""

    port: int
    cookie: str = ""

    def ask(
        self,
        method: str,
        path: str,
        form: Mapping[str, str] | None = None,
        **headers: str,
    ) -> Answer:
        """Send one request; header names are written with underscores."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.cookie:
            sent["Cookie"] = self.cookie
        body = None
        if form is not None:
            body = urlencode(form)
            sent["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            connection.request(method, path, body, sent)
            answer = connection.getresponse()
            text = answer.read().decode("utf-8", "replace")
            held = dict(one.split("=", 1) for one in self.cookie.split("; ") if one)
            for given in answer.headers.get_all("Set-Cookie") or ():
                name, _, value = given.partition(";")[0].partition("=")
                held[name] = value
            self.cookie = "; ".join(f"{name}={value}" for name, value in held.items())
            return Answer(answer.status, text, dict(answer.getheaders()))
        finally:
            connection.close()


def started(server: Any) -> threading.Thread:
    """The thread in which a server answers until it is closed."""

    def run() -> None:
        with suppress(OSError):  # its sockets are closed under it
            server.run()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    return thread


@contextmanager
def served(settings: Settings) -> Iterator[Visitor]:
    """The real server on any free port, for as long as the block lasts."""
    if settings.workspaces is None:
        prepare(settings)
    listening = listen("127.0.0.1", 0)
    port = listening.getsockname()[1]
    server = server_of(settings, listening)
    thread = started(server)
    try:
        yield Visitor(port)
    finally:
        server.close()
        server.task_dispatcher.shutdown()
        thread.join(10)
