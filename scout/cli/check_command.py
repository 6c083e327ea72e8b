"""`scout check`: prove that what is kept is whole."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json
from scout.errors import Unavailable
from scout.settings import Settings
from scout.usecases.archive import proved
from scout.usecases.backups import found
from scout.usecases.checking import check, mend
from scout.usecases.work import open_work
from scout.values import Many, Name, said


@click.command(
    help="Check the database, every photo, recording and packet against its hash, and name files left over. Exit code 1 when something is found."
)
@click.option(
    "--mend", "mends", is_flag=True, help="Take away files left over by what was cut off."
)
@click.option(
    "--backup",
    type=click.Path(exists=True),
    default=None,
    help="Read this backup (a file, or a folder's newest) against its sums instead.",
)
@JSON_OPTION
def command(as_json: bool, mends: bool, backup: str | None) -> int:
    """Check, and with --mend take away what is left over."""
    if backup is not None:
        file = found(Path(backup))
        count = proved(file)
        if as_json:
            print_json({"file": str(file), "originals": count, "faults": []})
        else:
            click.echo(said("look.backup_whole", file=Name(str(file)), originals=count))
        return 0
    settings = Settings.from_environment()
    if (
        settings.is_sqlite
        and not (settings.data_dir / "sillbook.db").is_file()
        and settings.database_url is None
    ):
        raise Unavailable(said("command.no_database", folder=Name(str(settings.data_dir))))
    with open_work(settings, reading=True) as work:
        report = check(work)
        taken = mend(work, report.left_over) if mends else 0
        if taken:
            report = check(work)
    if as_json:
        faults = [str(fault) for fault in report.faults]
        print_json({**dataclasses.asdict(report), "faults": faults})
    else:
        if taken:
            click.echo(said("look.taken_away", count=taken))
        for fault in report.faults:
            click.echo(fault)
        for name in report.left_over:
            click.echo(said("look.left_over", name=Name(name)))
        things = (
            said("look.photos", count=report.photos),
            said("look.recordings", count=report.recordings),
            said("look.packets", count=report.packets),
        )
        left = len(report.left_over)
        click.echo(
            said(
                "look.checked",
                things=Many(things),
                faults=said("look.faults", count=len(report.faults)),
                left=said("look.files", count=left) if left else None,
            )
        )
    return 1 if report.faults or report.left_over else 0
