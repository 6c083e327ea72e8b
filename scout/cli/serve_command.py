"""`scout serve`: the pages, served by waitress."""

from __future__ import annotations

import socket
import sys
from contextlib import nullcontext
from typing import Any

import click
import waitress

from scout.cli.work_command import workers
from scout.errors import Unavailable
from scout.settings import Settings
from scout.usecases.work import prepare
from scout.values import Name, said
from scout.web import security
from scout.web.app import create_app

CONNECTIONS, IDLE_S, CLEANUP_S = 1_000, 30, 10  # idle visitors do not keep others out
PROXY_HEADERS = ("x-forwarded-for", "x-forwarded-host", "x-forwarded-proto")


@click.command(help="Serve the pages on this machine (SILLBOOK_HOST, SILLBOOK_PORT).")
@click.option("--host", default=None, help="Address to listen on; 127.0.0.1 unless set.")
@click.option(
    "--port",
    default=None,
    type=click.IntRange(0, 65_535),
    help="Port; 8520 unless set, 0 for any free one.",
)
@click.option(
    "--workers",
    "count",
    type=click.IntRange(0, 64),
    default=1,
    show_default=True,
    help="Packets printed at once; 0 leaves them to `scout work`.",
)
def command(host: str | None, port: int | None, count: int) -> None:
    """Serve."""
    settings = Settings.from_environment()
    prepare(settings)
    serve(settings, host or settings.host, settings.port if port is None else port, count=count)


def serve(settings: Settings, host: str, port: int, *lines: str, count: int = 1) -> None:
    """Serve until stopped, printing the address once it listens, then `lines`. Raises Unavailable
    when the port is taken.
    """
    listening = listen(host, port)
    server = server_of(settings, listening)
    shown = f"[{host}]" if ":" in host else host
    address = Name(f"http://{shown}:{listening.getsockname()[1]}/")
    click.echo(said("look.served", address=address))
    if host not in security.LOOPBACK and not settings.https:
        click.echo(said("look.open_network"))
    for line in lines:
        click.echo(line)
    sys.stdout.flush()
    with workers(settings, count) if count else nullcontext():
        server.run()


def server_of(settings: Settings, listening: socket.socket) -> Any:
    """The server of the pages on a bound socket.

    What a proxy says of who asks is believed of the one that is named, and of nobody else; from
    others the headers are left where they are, so that the guard of the first person sees them.
    """
    proxy = settings.trusted_proxy
    return waitress.create_server(
        create_app(settings),
        sockets=[listening],
        threads=8,
        max_request_body_size=security.largest_request_bytes(settings),
        ident="sillbook",
        connection_limit=CONNECTIONS,
        channel_timeout=IDLE_S,
        cleanup_interval=CLEANUP_S,
        trusted_proxy=proxy,
        trusted_proxy_headers=" ".join(PROXY_HEADERS) if proxy else "",
        clear_untrusted_proxy_headers=proxy is not None,
    )


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
