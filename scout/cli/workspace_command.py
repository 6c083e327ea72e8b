"""`scout workspace`: groups of people on one server, each with rooms, people and files of its own."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import click

from scout import workspaces
from scout.errors import Refused, Unavailable
from scout.settings import Settings
from scout.store import engine as databases
from scout.usecases.work import prepare
from scout.values import Name, names, said


@click.group(help="Groups of people on one server who never see each other's rooms.")
def command() -> None:
    """Workspaces."""


def _base() -> tuple[Settings, Path]:
    settings = Settings.from_environment(several=True)
    if settings.workspaces is None:
        raise Refused("SILLBOOK_WORKSPACES", None, said("workspace.not_set"))
    return settings, settings.workspaces


@command.command("add", help="Begin a workspace, reached by --host and by NAME.localhost.")
@click.argument("name")
@click.option("--host", "hosts", multiple=True, help="A name it is reached by; as many as wanted.")
@click.option("--database", default=None, help="PostgreSQL; else SQLite in its own folder.")
@click.option("--files", default=None, help="A bucket for its files; else its own folder.")
@click.option(
    "--public-url", default=None, help="Where phones reach it; codes on paper lead there."
)
def add(
    name: str,
    hosts: tuple[str, ...],
    database: str | None,
    files: str | None,
    public_url: str | None,
) -> None:
    """Add a workspace."""
    base, folder = _base()
    new = workspaces.Workspace(name, folder / name, hosts, database, files, public_url)
    made = workspaces.add(base, folder, new)
    try:
        _refuse_same(base, folder, made)
        prepare(made.settings(base))
    except BaseException:
        workspaces.remove(folder, name)
        raise
    reached = names([*made.hosts, f"{name}{workspaces.NEAR}"], "list")
    click.echo(said("workspace.added", name=Name(name), hosts=reached))
    click.echo(said("workspace.first_person", name=Name(name)))


def _refuse_same(base: Settings, folder: Path, new: workspaces.Workspace) -> None:
    """Raises Refused where another's address leads to the same database under other names. One that
    does not answer now is looked at when its pages are opened.
    """
    own = databases.identity(new.settings(base).url)
    for one in workspaces.all_in(folder).values():
        with suppress(Unavailable):
            if one.name != new.name and databases.identity(one.settings(base).url) == own:
                raise Refused("--database", None, said("workspace.shared", name=Name(one.name)))


@command.command("list", help="List workspaces with the names they are reached by.")
def list_() -> None:
    """List workspaces."""
    _settings, folder = _base()
    for one in workspaces.all_in(folder).values():
        click.echo("  ".join((one.name, *one.hosts, f"{one.name}{workspaces.NEAR}")))


@command.command("remove", help="Let nobody reach a workspace any more; all it holds stays.")
@click.argument("name")
def remove(name: str) -> None:
    """Remove a workspace."""
    _settings, folder = _base()
    kept = workspaces.remove(folder, name)
    click.echo(said("workspace.removed", name=Name(name), folder=Name(str(kept))))
