"""`scout restore`: a backup into an empty database, checked when it is there."""

from __future__ import annotations

from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json, progress
from scout.cli.keeping import kept
from scout.usecases.backups import restore
from scout.usecases.checking import check
from scout.values import Name, said


@click.command(
    help="Bring a backup into an empty database of either kind, and check what came. SOURCE: a file, or a folder of backups, whose newest is taken. Exit code 1 when something is not whole."
)
@click.argument("source", type=click.Path(exists=True))
@JSON_OPTION
def command(source: str, as_json: bool) -> int:
    """Restore."""
    with kept() as work:
        step, done = progress("originals")
        file, count = restore(work, Path(source), step)
        done()
    with kept(reading=True) as work:
        faults = check(work).faults
    if as_json:
        told = [str(fault) for fault in faults]
        print_json({"file": str(file), "originals": count, "faults": told})
    else:
        click.echo(said("look.imported", file=Name(str(file)), originals=count))
        for fault in faults:
            click.echo(fault)
    return 1 if faults else 0
