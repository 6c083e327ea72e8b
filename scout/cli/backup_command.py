"""`scout backup`: everything, to a file or into a folder of backups."""

from __future__ import annotations

from pathlib import Path

import click

from scout.cli.common import JSON_OPTION, print_json, progress
from scout.cli.keeping import kept
from scout.usecases.backups import back_up
from scout.values import Name, said


@click.command(
    help="Back everything up while people work, and read it back against its sums. TARGET: a file (NAME.zip), or a folder in which each photo is kept once, however often one is made."
)
@click.argument("target", type=click.Path())
@JSON_OPTION
def command(target: str, as_json: bool) -> None:
    """Back up."""
    with kept(reading=True) as work:
        step, done = progress("originals")
        file, count = back_up(work, Path(target), step)
        done()
    if as_json:
        print_json({"file": str(file), "originals": count, "bytes": file.stat().st_size})
    else:
        click.echo(said("look.backed_up", file=Name(str(file)), originals=count))
