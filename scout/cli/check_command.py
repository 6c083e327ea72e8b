"""`scout check`: prove that what is kept is whole."""

from __future__ import annotations

import dataclasses

import click

from scout.cli.common import JSON_OPTION, print_json
from scout.errors import Unavailable
from scout.settings import Settings
from scout.usecases.checking import check
from scout.usecases.work import open_work


@click.command(help="Check the database, every photo file against its hash, and every packet. Exit code 1 when something is wrong.")
@JSON_OPTION
def command(as_json: bool) -> int:
    """Check."""
    settings = Settings.from_environment()
    if settings.is_sqlite and not (settings.data_dir / "sillbook.db").is_file() and settings.database_url is None:
        raise Unavailable(f"there is no database in {settings.data_dir}; `scout demo` or `scout serve` makes one")
    with open_work(settings, reading=True) as work:
        report = check(work)
    if as_json:
        print_json(dataclasses.asdict(report))
    else:
        for fault in report.faults:
            click.echo(fault)
        unused = f", {_count(report.unused_originals, 'original')} that no photo names" if report.unused_originals else ""
        click.echo(f"{_count(report.photos, 'photo')} and {_count(report.packets, 'packet')} looked at, {_count(len(report.faults), 'fault')}{unused}")
    return 1 if report.faults else 0


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
