"""`scout export`: a room sheet, or everything, to a file."""

from __future__ import annotations

import json
from pathlib import Path

import click

from scout.cli.common import print_json, progress
from scout.cli.keeping import kept
from scout.errors import Refused
from scout.pages.exports import FILES, write_zip
from scout.store.files import write_atomically, write_bytes
from scout.usecases.archive import export_all
from scout.usecases.sheets import export_sheet
from scout.usecases.work import Work
from scout.values import Name, said

ZIP = "everything.zip"


@click.command(
    help="Write the sheet of room ROOM_ID as JSON, or with --all everything (rows, photos, packets) as one archive."
)
@click.argument("room_id", type=int, required=False)
@click.option(
    "--production",
    "production_id",
    type=int,
    default=None,
    help="Put the kit of this production into the sheet.",
)
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Everything, as one archive that `scout import` reads into an empty database.",
)
@click.option(
    "--as",
    "as_file",
    type=click.Choice([*FILES, ZIP]),
    default=None,
    help="A table, a map, contacts, or all of them with calendars, room sheets and photos.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False),
    default=None,
    help="File to write; a sheet goes to standard output if left out.",
)
def command(
    room_id: int | None,
    production_id: int | None,
    everything: bool,
    as_file: str | None,
    output: str | None,
) -> None:
    """Export."""
    if [everything, room_id is not None, as_file is not None].count(True) != 1:
        raise Refused("ROOM_ID", room_id, said("command.room_or_all"))
    if (everything or as_file == ZIP) and output is None:
        raise Refused("--output", None, said("command.name_archive"))
    with kept(reading=True) as work:
        if everything and output:
            step, done = progress("originals")
            count = export_all(work, Path(output), step)
            done()
            click.echo(said("look.exported", file=Name(output), originals=count))
            return
        if as_file is not None:
            _other(work, as_file, output)
            return
        assert room_id is not None  # refused above
        plain = export_sheet(work, room_id, production_id).plain()
    if output is None:
        print_json(plain)
    else:
        body = json.dumps(plain, ensure_ascii=False, indent=2).encode() + b"\n"
        write_bytes(Path(output), body)
        click.echo(said("look.written", file=Name(output)))


def _other(work: Work, as_file: str, output: str | None) -> None:
    """A file for other programs."""
    if as_file == ZIP:
        counted: list[int] = []
        write_atomically(Path(str(output)), lambda file: counted.append(write_zip(work, file)))
        click.echo(said("files.zip", file=Name(str(output)), count=counted[0]))
        return
    data = FILES[as_file](work)
    if output is None:
        click.echo(data, nl=False)
    else:
        write_bytes(Path(output), data)
        click.echo(said("look.written", file=Name(output)))
