"""`scout serve`: the pages, served by waitress."""

from __future__ import annotations

import socket
import sys

import click
import waitress

from scout.errors import Unavailable
from scout.settings import Settings
from scout.usecases.work import prepare
from scout.values import Name, said
from scout.web import security
from scout.web.app import create_app


@click.command(help="Serve the pages on this machine (SILLBOOK_HOST, SILLBOOK_PORT).")
@click.option("--host", default=None, help="Address to listen on; 127.0.0.1 unless set.")
@click.option(
    "--port",
    default=None,
    type=click.IntRange(0, 65_535),
    help="Port; 8520 unless set, 0 for any free one.",
)
def command(host: str | None, port: int | None) -> None:
    """Serve."""
    settings = Settings.from_environment()
    prepare(settings)
    serve(settings, host or settings.host, settings.port if port is None else port)


def serve(settings: Settings, host: str, port: int, *lines: str) -> None:
    """Serve until stopped, printing the address once it listens, then `lines`. Raises Unavailable
    when the port is taken.
    """
    listening = listen(host, port)
    server = waitress.create_server(
        create_app(settings),
        sockets=[listening],
        threads=8,
        max_request_body_size=security.largest_request_bytes(settings),
        ident="sillbook",
    )
    shown = f"[{host}]" if ":" in host else host
    click.echo(
        f"Sillbook is at http://{shown}:{listening.getsockname()[1]}/  (stop it with Ctrl-C)"
    )
    for line in lines:
        click.echo(line)
    sys.stdout.flush()
    server.run()


def listen(host: str, port: int) -> socket.socket:
    """A socket bound to the address. Raises Unavailable."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
    except (OSError, UnicodeError) as error:
        made.close()
        why = (
            Name(error.strerror or "") if isinstance(error, OSError) else said("command.no_address")
        )
        raise Unavailable(
            said("command.cannot_listen", address=Name(f"{host}:{port}"), why=why)
        ) from None
    return made
