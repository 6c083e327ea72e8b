"""`scout import`: a room sheet, or an archive of everything, from a file."""

from __future__ import annotations

import zipfile
from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json, progress, read_bytes
from scout.errors import Damaged
from scout.records import read_sheet
from scout.settings import Settings
from scout.usecases.archive import import_all
from scout.usecases.sheets import import_sheet
from scout.usecases.work import open_work, prepare
from scout.values import Name, said


@click.command(
    help="Read a room sheet (JSON) as a new room, or an archive written by `scout export --all` into an empty database."
)
@click.argument("file", type=click.Path(allow_dash=True))
@click.option(
    "--location",
    "location_id",
    type=int,
    default=None,
    help="Put the room at this location; else at the sheet's own, made if need be.",
)
@JSON_OPTION
def command(file: str, location_id: int | None, as_json: bool) -> None:
    """Import."""
    settings = Settings.from_environment()
    if file != "-" and Path(file).is_file() and zipfile.is_zipfile(file):
        prepare(settings)
        with open_work(settings) as work:
            step, done = progress("originals")
            count = import_all(work, Path(file), step)
            done()
        print_json({"originals": count}) if as_json else click.echo(
            said("look.imported", file=Name(file), originals=count)
        )
        return
    data = read_bytes(file, "FILE")
    if data.startswith(b"PK"):
        raise Damaged(said("command.archive_cut", file=Name(str(file))))
    sheet = read_sheet(data)
    prepare(settings)  # only now: a sheet that is refused makes no data folder
    with open_work(settings) as work:
        room_id = import_sheet(work, sheet, location_id)
    kit = said("look.kit_left") if sheet.kit is not None else None
    if as_json:
        print_json({"room_id": room_id, "left_out": [] if kit is None else [str(kit)]})
    else:
        click.echo(said("look.room_recorded", room=Name(str(room_id)), left=kit))
