"""`scout packet`: print an edition of a production's packet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import cast

import click

from scout.cli.common import JSON_OPTION, by_option, print_json, progress, read_date
from scout.cli.keeping import kept
from scout.packet.names import EDITIONS, EditionName, Paper, edition_called
from scout.store.files import write_bytes
from scout.units import Units
from scout.usecases.print_templates import template
from scout.usecases.revisions import Wanted, as_last, kept_print, packet_file
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work
from scout.values import Name, said


class Edition(click.Choice[str]):
    """One of the editions, the trades of one person in either order."""

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Raises BadParameter."""
        return super().convert(edition_called(value), param, ctx)


@click.command(help="Print the packet of production PRODUCTION_ID, or one edition of it.")
@click.argument("production_id", type=int)
@click.option(
    "--edition",
    type=Edition(EDITIONS),
    default=None,
    help="Whose pages; all of them if left out. camera+light: of one person with both trades.",
)
@click.option(
    "--date",
    "on",
    default=None,
    help="Of that day alone, as the editions of a day and of an owner are.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default=None,
    help="As the production's last print if left out, A4 for the first.",
)
@click.option(
    "--units",
    type=click.Choice(["metric", "feet"]),
    default=None,
    help="As the production's last print if left out, for the first as SILLBOOK_UNITS says.",
)
@click.option(
    "--template",
    "template_name",
    default=None,
    help="As the template of that name has it; what is given beside it goes first.",
)
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False), default=None, help="Also copy the PDF here."
)
@JSON_OPTION
def command(
    production_id: int,
    edition: str | None,
    on: str | None,
    paper: Paper | None,
    units: Units | None,
    template_name: str | None,
    output: str | None,
    as_json: bool,
) -> None:
    """Packet."""
    day = read_date(on) if on is not None else None
    with by_option({"date": "--date"}), kept() as work:
        usual = (
            replace(as_last(work, production_id, work.settings.units), edition="whole", on=None)
            if template_name is None
            else template(work, production_id, template_name)
        )
        wanted = Wanted(
            cast(EditionName, edition) if edition is not None else usual.edition,
            day if day is not None else usual.on,
            paper or usual.paper,
            units or usual.units,
        )
        printed = kept_print(work, production_id, wanted) or _printed(work, production_id, wanted)
        file, _name = packet_file(work, printed.id)
    body = file.read_bytes()
    if output is not None:
        write_bytes(Path(output), body)
    if as_json:
        print_json(
            {
                "packet": output or str(file),
                "edition": printed.edition,
                "revision": printed.revision,
                "pages": printed.pages,
                "bytes": len(body),
                "changed": list(printed.changes),
                "again": printed.again,
                "swap": printed.swap,
                "warnings": list(printed.warnings),
            }
        )
    else:
        name = Name(str(output or file))
        click.echo(
            said(
                "look.packet",
                revision=printed.revision,
                pages=printed.pages,
                paper=Name(printed.paper),
                units=Name(printed.units),
                file=name,
            )
        )
        for warning in printed.warnings:
            click.echo(said("look.note", note=Name(warning)), err=True)


def _printed(work: Work, production_id: int, wanted: Wanted) -> PacketLine:
    # loaded only where something has to be printed: it takes longer than to look for what is kept
    from scout.pages.packet.printing import PRINTER
    from scout.usecases.packets import print_packet

    step, done = progress("packet")
    printed = print_packet(work, production_id, PRINTER, wanted, progress=step)
    done()
    return printed
