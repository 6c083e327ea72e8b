"""`scout serve`: the pages, served by waitress, to this machine or to the network it is on."""

from __future__ import annotations

import socket
import sys
from dataclasses import replace
from typing import Any

import click
import segno
import waitress

from scout import logs
from scout.cli.apart import workers_apart
from scout.cli.common import stop_in_order
from scout.errors import NotAllowed, Refused, Unavailable
from scout.settings import Settings
from scout.usecases import people
from scout.usecases.work import open_work, prepare
from scout.values import Name, said
from scout.web import security, tls
from scout.web.app import create_app
from scout.web.workspaces import Workspaces

CONNECTIONS, IDLE_S, CLEANUP_S = 1_000, 30, 10  # idle visitors do not keep others out
# At waitress's own 8 kB the thread that reads asks 500 times for each photo, and waits each time until
# those at work let it in: fifty phones at once stood still for half a minute, and were then cut off.
RECEIVED_BYTES = 262_144
# A save asks its database some forty times and waits each time until who works out figures lets it in
# again: five milliseconds at Python's own setting, which add up to a second where cores are scarce.
SWITCH_S = 0.0005
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
    help="Packets printed at once, each in a process of its own; 0 leaves them to `scout work`.",
)
@click.option("--lan", is_flag=True, help="Serve the network this machine is on, with a QR code.")
@click.option(
    "--https",
    is_flag=True,
    help="Serve HTTPS with a certificate of its own: phones' sensors want it.",
)
def command(host: str | None, port: int | None, count: int, lan: bool, https: bool) -> None:
    """Serve."""
    settings = Settings.from_environment(several=True)
    shared = settings.workspaces is not None and settings.workspace is None
    if shared and (lan or https):
        raise Refused("--lan" if lan else "--https", None, said("workspace.by_name"))
    if lan and host is not None:
        raise Refused("--host", host, said("command.lan_or_host"))
    logs.start(settings)
    if not shared:
        prepare(settings)
    if lan:
        host = lan_address()
        with open_work(settings, reading=True) as work:
            if not people.any_person(work):
                raise NotAllowed(said("command.lan_nobody"))
    port = settings.port if port is None else port
    serve(settings, host or settings.host, port, count=count, https=https, code=lan)


def lan_address() -> str:
    """The address by which this machine is reached on its network. Raises Unavailable.

    Nothing is sent: a datagram socket that is connected only learns which way it would go. The
    address it is pointed at is one for documentation (RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))
            found = str(asking.getsockname()[0])
        except OSError:
            found = ""
    if not found or found.startswith("127."):
        raise Unavailable(said("command.no_network"))
    return found


def serve(
    settings: Settings,
    host: str,
    port: int,
    *lines: str,
    count: int = 1,
    https: bool = False,
    code: bool = False,
) -> None:
    """Serve until stopped, printing the address once it listens, then `lines`; `code`: the address
    as a QR code too. Raises Unavailable when the port is taken.
    """
    listening = listen(host, port)
    made = front = None
    if https:
        settings = replace(settings, https=True)
        own = [] if host in ("0.0.0.0", "::", "localhost") else [host]  # noqa: S104 - compared only
        made = tls.certificate(settings.data_dir, ["127.0.0.1", *own])
        listening.listen()
        inner = listen("127.0.0.1", 0)
        front = tls.Front(listening, inner, made)
        server = server_of(settings, inner, front)
        front.start()
    else:
        server = server_of(settings, listening)
    shown = f"[{host}]" if ":" in host else host
    address = f"http{'s' if https else ''}://{shown}:{listening.getsockname()[1]}/"
    click.echo(said("look.served", address=Name(address)))
    if code and sys.stdout.isatty():
        segno.make(address, micro=False).terminal(compact=True)
    if made is not None:
        click.echo(said("look.certificate", fingerprint=Name(made.fingerprint)))
    elif host not in security.LOOPBACK and not settings.https:
        click.echo(said("look.open_network"))
    for line in lines:
        click.echo(line)
    sys.stdout.flush()
    stop_in_order()
    sys.setswitchinterval(SWITCH_S)
    try:
        with workers_apart(settings, count):
            server.run()
    finally:
        if front is not None:
            front.stop()


def server_of(settings: Settings, listening: socket.socket, front: tls.Front | None = None) -> Any:
    """The server of the pages on a bound socket, behind a front that takes TLS off where there is
    one.

    What a proxy says of who asks is believed of the one that is named, and of nobody else; from
    others the headers are left where they are, so that the guard of the first person sees them.
    """
    proxy = settings.trusted_proxy
    server = waitress.create_server(
        create_app(settings)
        if settings.workspaces is None or settings.workspace is not None
        else Workspaces(settings, settings.workspaces),
        url_scheme="http" if front is None else "https",
        sockets=[listening],
        threads=8,
        recv_bytes=RECEIVED_BYTES,
        max_request_body_size=security.largest_request_bytes(settings),
        ident="sillbook",
        connection_limit=CONNECTIONS,
        channel_timeout=IDLE_S,
        cleanup_interval=CLEANUP_S,
        trusted_proxy=proxy,
        trusted_proxy_headers=" ".join(PROXY_HEADERS) if proxy else "",
        clear_untrusted_proxy_headers=proxy is not None,
    )
    if front is not None:
        server.fix_addr = front.peer  # waitress asks it who is behind a connection
    return server


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
