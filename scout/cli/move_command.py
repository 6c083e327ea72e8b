"""`scout move`: an installation to another database, to other files, or to both."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json, progress
from scout.errors import Refused
from scout.settings import Settings
from scout.usecases import moving
from scout.values import Figure, said

HERE = "embedded"


@click.command(
    help="Copy everything from the installation that the settings name to another, while people work: rows to --database, files to --files, both compared. Nobody can save in the last seconds, nor afterwards here. Cut short, the same command goes on."
)
@click.option(
    "--database",
    default=None,
    help=f"An address of PostgreSQL, or `{HERE}`: SQLite in the folder. As it is if left out.",
)
@click.option(
    "--files",
    default=None,
    help=f"The address of a bucket, or `{HERE}`: the folder's disk. As they are if left out.",
)
@click.option(
    "--to",
    "folder",
    type=click.Path(file_okay=False),
    default=None,
    help="The data folder of the destination; this one's unless given.",
)
@click.option("--stop", "stops", is_flag=True, help="Let people save here again instead.")
@JSON_OPTION
def command(
    database: str | None, files: str | None, folder: str | None, stops: bool, as_json: bool
) -> int:
    """Move."""
    source = Settings.from_environment()
    if stops:
        was = moving.stop(source)
        click.echo(said("move.stopped") if was else said("move.none"))
        return 0
    if database is None and files is None:
        raise Refused("--database", None, said("move.nothing_named"))
    target = _read(source, database, files, folder)
    step, done = progress("files")
    try:
        moved = moving.move(source, target, step)
    finally:
        done()
    if as_json:
        print_json({"rows": moved.rows, "files": moved.files, "closed_s": round(moved.closed_s, 1)})
    else:
        closed = Figure(moved.closed_s, "s")
        click.echo(said("move.done", rows=moved.rows, files=moved.files, closed=closed))
    return 0


def _read(
    source: Settings, database: str | None, files: str | None, folder: str | None
) -> Settings:
    """The destination, judged as settings are."""
    to = Path(folder).resolve() if folder is not None else source.data_dir
    named = {"SILLBOOK_DATA": str(to)}
    if database not in (None, HERE):
        named["SILLBOOK_DATABASE_URL"] = database or ""
    if files not in (None, HERE):
        named["SILLBOOK_FILES"] = files or ""
    given = Settings.from_environment(named)
    return replace(
        source,
        data_dir=to,
        database_url=source.database_url if database is None else given.database_url,
        files=source.files if files is None else given.files,
    )
