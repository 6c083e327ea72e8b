"""`scout packet`: print a production's packet."""

from __future__ import annotations

from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json, progress
from scout.pages.packet import compose
from scout.settings import Settings
from scout.store.files import write_bytes
from scout.usecases.packets import packet_file, print_packet
from scout.usecases.work import open_work, prepare


@click.command(help="Print the next revision of the packet of production PRODUCTION_ID.")
@click.argument("production_id", type=int)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option(
    "--units",
    type=click.Choice(["metric", "feet"]),
    default=None,
    help="As SILLBOOK_UNITS says if left out.",
)
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False), default=None, help="Also copy the PDF here."
)
@JSON_OPTION
def command(
    production_id: int, paper: str, units: str | None, output: str | None, as_json: bool
) -> None:
    """Packet."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings) as work:
        step, done = progress("packet")
        printed = print_packet(
            work,
            production_id,
            compose,
            paper="letter" if paper == "letter" else "a4",
            units="feet" if (units or settings.units) == "feet" else "metric",
            progress=step,
        )
        done()
        file, _name = packet_file(work, printed.id)
    if output is not None:
        body = file.read_bytes()
        write_bytes(Path(output), body)
    if as_json:
        print_json(
            {
                "packet": output or str(file),
                "revision": printed.revision,
                "pages": printed.pages,
                "changes": list(printed.changes),
                "warnings": list(printed.warnings),
            }
        )
    else:
        click.echo(f"revision {printed.revision}, {printed.pages} pages: {output or file}")
        for warning in printed.warnings:
            click.echo(f"note: {warning}", err=True)
