"""`scout check`: prove that what is kept is whole."""

from __future__ import annotations

import dataclasses

import click

from scout.cli.common import JSON_OPTION, print_json
from scout.errors import Unavailable
from scout.settings import Settings
from scout.usecases.checking import check, mend
from scout.usecases.work import open_work


@click.command(
    help="Check the database, every photo, recording and packet against its hash, and name files left over. Exit code 1 when something is found."
)
@click.option(
    "--mend", "mends", is_flag=True, help="Take away files left over by what was cut off."
)
@JSON_OPTION
def command(as_json: bool, mends: bool) -> int:
    """Check, and with --mend take away what is left over."""
    settings = Settings.from_environment()
    if (
        settings.is_sqlite
        and not (settings.data_dir / "sillbook.db").is_file()
        and settings.database_url is None
    ):
        raise Unavailable(
            f"there is no database in {settings.data_dir}; `scout demo` or `scout serve` makes one"
        )
    with open_work(settings, reading=True) as work:
        report = check(work)
        taken = mend(work, report.left_over) if mends else 0
        if taken:
            report = check(work)
    if as_json:
        print_json(dataclasses.asdict(report))
    else:
        if taken:
            click.echo(f"{_count(taken, 'file')} left over by what was cut off taken away")
        for fault in report.faults:
            click.echo(fault)
        for name in report.left_over:
            click.echo(
                f"{name} is named by nothing on record: an upload under way, or left by one that was cut off; then it may be deleted"
            )
        looked = [
            _count(report.photos, "photo"),
            _count(report.recordings, "recording"),
            _count(report.packets, "packet"),
        ]
        left = f", {_count(len(report.left_over), 'file')} left over" if report.left_over else ""
        click.echo(
            f"{', '.join(looked[:-1])} and {looked[-1]} looked at, {_count(len(report.faults), 'fault')}{left}"
        )
    return 1 if report.faults or report.left_over else 0


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
