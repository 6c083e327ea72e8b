"""`scout import`: a room sheet, or an archive of everything, from a file."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping
from pathlib import Path

import click

from scout.assess.answers import as_json as as_plain
from scout.cli.common import JSON_OPTION, print_json, progress, read_bytes
from scout.errors import Damaged, Refused
from scout.records import read_sheet
from scout.settings import Settings
from scout.usecases.archive import import_all
from scout.usecases.bringing import Brought, bring, columns_of
from scout.usecases.sheets import import_sheet
from scout.usecases.work import open_work, prepare
from scout.values import Name, said


@click.command(
    help="Read a room sheet (JSON) as a new room; GPX, KML or GeoJSON points as locations; a CSV of rooms or lights; or an archive"
    " written by `scout export --all` into an empty database."
)
@click.argument("file", type=click.Path(allow_dash=True))
@click.option(
    "--location",
    "location_id",
    type=int,
    default=None,
    help="Put the room at this location; else at the sheet's own, made if need be.",
)
@click.option(
    "--production",
    "production_id",
    type=int,
    default=None,
    help="A table's rows are lights of this production's kit; else rooms.",
)
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="HEADING=KEY",
    help="Which of a table's headings is which key, where that is not told by the heading.",
)
@click.option(
    "--dry-run",
    "tried",
    is_flag=True,
    help="Say what points or a table would bring; write nothing.",
)
@JSON_OPTION
def command(
    file: str,
    location_id: int | None,
    production_id: int | None,
    columns: tuple[str, ...],
    tried: bool,
    as_json: bool,
) -> None:
    """Import."""
    settings = Settings.from_environment()
    more = {"--production": production_id, "--column": columns, "--dry-run": tried}
    if file != "-" and Path(file).is_file() and zipfile.is_zipfile(file):
        _refuse(more)
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
    if not _is_sheet(data):
        prepare(settings)
        with open_work(settings) as work:
            brought = bring(
                work,
                data,
                Path(file).name,
                location_id=location_id,
                production_id=production_id,
                columns=columns_of(columns),
                tried=tried,
            )
        print_json(as_plain(brought)) if as_json else _told(brought)
        return
    _refuse(more)
    sheet = read_sheet(data)
    prepare(settings)  # only now: a sheet that is refused makes no data folder
    with open_work(settings) as work:
        room_id = import_sheet(work, sheet, location_id)
    kit = said("look.kit_left") if sheet.kit is not None else None
    if as_json:
        print_json({"room_id": room_id, "left_out": [] if kit is None else [str(kit)]})
    else:
        click.echo(said("look.room_recorded", room=Name(str(room_id)), left=kit))


def _refuse(more: Mapping[str, object]) -> None:
    """Refuse what a sheet and an archive do not heed, before anything is written."""
    for name, value in more.items():
        if value:
            raise Refused(name, None, said("files.not_for_sheets"))


def _is_sheet(data: bytes) -> bool:
    """Whether a file is meant as a room sheet: points in JSON say that they are features."""
    begins = data.lstrip(b"\xef\xbb\xbf \t\r\n")[:1]
    return begins in (b"", b"{", b"[") and not re.search(
        rb'"type"\s*:\s*"Feature(Collection)?"', data
    )


def _told(brought: Brought) -> None:
    for heading, key in brought.columns:
        click.echo(
            said("files.left", heading=Name(heading))
            if key is None
            else said("files.column", heading=Name(heading), key=Name(key))
        )
    what, added, known = Name(brought.kind), len(brought.added), len(brought.known)
    click.echo(
        said("files.would", what=what, added=added, known=known)
        if brought.tried
        else said("files.added", what=what, added=added, known=known)
    )
