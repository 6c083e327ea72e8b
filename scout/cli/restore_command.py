"""`scout restore`: a backup into an empty database, checked when it is there."""

from __future__ import annotations

from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json, progress
from scout.settings import Settings
from scout.usecases.backups import restore
from scout.usecases.checking import check
from scout.usecases.work import open_work, prepare
from scout.values import Name, said


@click.command(
    help="Bring a backup into an empty database of either kind, and check what came. SOURCE: a file, or a folder of backups, whose newest is taken. Exit code 1 when something is not whole."
)
@click.argument("source", type=click.Path(exists=True))
@JSON_OPTION
def command(source: str, as_json: bool) -> int:
    """Restore."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings) as work:
        step, done = progress("originals")
        file, count = restore(work, Path(source), step)
        done()
    with open_work(settings, reading=True) as work:
        faults = check(work).faults
    if as_json:
        told = [str(fault) for fault in faults]
        print_json({"file": str(file), "originals": count, "faults": told})
    else:
        click.echo(said("look.imported", file=Name(str(file)), originals=count))
        for fault in faults:
            click.echo(fault)
    return 1 if faults else 0
