"""`scout person`: what is kept of somebody, handed to them, and erased."""

from __future__ import annotations

import io
from pathlib import Path

import click

from scout.cli.keeping import kept
from scout.packet.withdrawn import withdrawn
from scout.records import Named
from scout.store.files import write_bytes
from scout.usecases import erasing, people, personal
from scout.usecases.work import Work
from scout.values import Name, Word, said


@click.group(help="Hand somebody all that is kept of them, or erase it.")
def command() -> None:
    """What is kept of people."""


def _named(work: Work, email: str | None, name: str | None, phone: str | None) -> Named:
    """Whoever is meant: the account with the address, unless a name is given."""
    if name is None:
        name = people.called(work, email or "").name
    return Named.read({"name": name, "email": email, "phone": phone}, "")


@command.command("export", help="Write all that is kept of the account EMAIL to a ZIP.")
@click.argument("email")
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False), required=True, help="File to write."
)
def export(email: str, output: str) -> None:
    """Write a person's file."""
    spool = io.BytesIO()
    with kept(reading=True) as work:
        personal.write_file(work, _named(work, email, None, None), spool)
    write_bytes(Path(output), spool.getvalue())
    click.echo(said("look.written", file=Name(output)))


@command.command("erase", help="Erase an account and the name with it; asks before it does.")
@click.argument("email", required=False)
@click.option("--name", default=None, help="Somebody without an account, as lists name them.")
@click.option("--phone", default=None, help="A number to erase with the name.")
@click.option("--yes", is_flag=True, help="Do not ask.")
def erase(email: str | None, name: str | None, phone: str | None, yes: bool) -> None:
    """Erase a person."""
    if email is None and name is None:
        raise click.UsageError(str(said("erase.whom")))
    with kept(reading=True) as work:
        named = _named(work, email, name, phone)
        _print(erasing.found(work, named), named)
    if not yes:
        click.confirm(str(said("erase.sure", name=Name(named.name))), abort=True)
    with kept() as work:
        done = erasing.erase(work, named, withdrawn)
    click.echo(
        said(
            "erase.done",
            rows=sum(done.rows.values()),
            prints=done.prints,
            notes=done.private_notes,
        )
    )
    if not done.wiped:
        click.echo(said("erase.not_wiped"))


def _print(found: erasing.Erased, named: Named) -> None:
    for table, count in found.rows.items():
        click.echo(said("erase.names", thing=Word("thing", table), count=count))
    for table, count in found.unsure.items():
        name, thing = Name(named.name), Word("thing", table)
        click.echo(said("erase.unsure", thing=thing, count=count, name=name))
