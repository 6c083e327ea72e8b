"""`scout demo`: a fresh data folder with the demonstration, its packet printed, then served."""

from __future__ import annotations

import os
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import click

from scout import places
from scout.cli.common import JSON_OPTION, print_json, progress
from scout.errors import Refused
from scout.pages.packet.printing import PRINTER
from scout.settings import Settings
from scout.store.files import write_bytes
from scout.usecases.demo import load_demo
from scout.usecases.packets import print_packet
from scout.usecases.revisions import Wanted, packet_file
from scout.usecases.work import open_work, prepare
from scout.values import Name, said


@click.command(
    help="Make a fresh data folder with the demonstration, print its packet into it, then serve it (SILLBOOK_DATA names the folder, if set)."
)
@click.option("--no-serve", is_flag=True, help="Stop after the packet.")
@click.option(
    "--port",
    default=None,
    type=click.IntRange(0, 65_535),
    help="Port; 8520 unless set, 0 for any free one.",
)
@JSON_OPTION
def command(no_serve: bool, port: int | None, as_json: bool) -> None:
    """Demo."""
    started = time.monotonic()
    settings = _fresh(Settings.from_environment())
    prepare(settings)
    with open_work(settings) as work:
        step, done = progress("rooms")
        email, password, production_id = load_demo(
            work, places.DEMO_DATA, step, today=datetime.now(UTC).date()
        )
        done()
    with open_work(settings, who=None) as work:
        step, done = progress("packet")
        printed = print_packet(
            work, production_id, PRINTER, Wanted(units=settings.units), progress=step
        )
        done()
        file, _name = packet_file(work, printed.id)
    packet = settings.data_dir / "packet.pdf"
    body = file.read_bytes()
    write_bytes(packet, body)
    if as_json:
        print_json(
            {
                "data": str(settings.data_dir),
                "packet": str(packet),
                "pages": printed.pages,
                "seconds": round(time.monotonic() - started, 2),
            }
        )
    else:
        click.echo(
            said(
                "look.demo",
                folder=Name(str(settings.data_dir)),
                pages=printed.pages,
                file=Name(str(packet)),
            )
        )
    login = str(said("look.demo_login", email=Name(email), password=Name(password)))
    if no_serve and not as_json:
        click.echo(login)
    if not no_serve:
        from scout.cli.serve_command import serve  # the web is loaded only when it is served

        serve(
            settings,
            settings.host,
            settings.port if port is None else port,
            login,
        )


def _fresh(settings: Settings) -> Settings:
    """The settings with a folder that holds nothing yet: the one named by SILLBOOK_DATA, else a new
    one beside temporary files.
    """
    if os.environ.get("SILLBOOK_DATA"):
        if settings.data_dir.is_dir() and any(settings.data_dir.iterdir()):
            raise Refused(
                "SILLBOOK_DATA",
                str(settings.data_dir),
                said("command.not_fresh"),
            )
        return settings
    return settings.in_folder(Path(tempfile.mkdtemp(prefix="sillbook-demo-")))
