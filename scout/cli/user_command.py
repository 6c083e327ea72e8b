"""`scout user`: who may log in."""

from __future__ import annotations

import sys

import click

from scout.errors import Refused
from scout.records import Person
from scout.settings import Settings
from scout.usecases import people
from scout.usecases.roles import ROLES, Role
from scout.usecases.work import open_work, prepare
from scout.values import Name, Word, said


@click.group(help="Let people log in.")
def command() -> None:
    """People who may log in."""


@command.command(
    "add", help="Let somebody log in; asks for the password, or reads it from standard input."
)
@click.argument("email")
@click.option(
    "--name", default=None, help="Name shown beside what they record; the address if left out."
)
@click.option(
    "--password-stdin", is_flag=True, help="Read the password from standard input (one line)."
)
@click.option(
    "--role",
    type=click.Choice(ROLES),
    default="scout",
    show_default=True,
    help="What they may do; the first person is the owner.",
)
def add(email: str, name: str | None, password_stdin: bool, role: Role) -> None:
    """Add a person."""
    settings = Settings.from_environment()
    person = Person.read({"email": email, "name": name or email}, "")
    password = (
        _from_stdin()
        if password_stdin
        else str(click.prompt("Password", hide_input=True, confirmation_prompt=True))
    )
    prepare(settings)
    with open_work(settings) as work:
        people.add_person(work, person, password, role=role)
    click.echo(said("look.may_log_in", email=Name(person.email)))


def _from_stdin() -> str:
    try:
        return sys.stdin.buffer.readline(10_000).decode("utf-8").rstrip("\r\n")
    except UnicodeDecodeError:
        raise Refused("password", None, said("command.not_utf8")) from None


@command.command("list", help="List who may log in.")
def list_() -> None:
    """List people."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings, reading=True) as work:
        for one in people.everybody(work):
            click.echo(f"{one.email}  {one.name}  {one.role}")


@command.command("role", help="Say what somebody may do.")
@click.argument("email")
@click.argument("role", type=click.Choice(ROLES))
def role_(email: str, role: str) -> None:
    """Change a role."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings) as work:
        people.set_role(work, email, role)
    click.echo(str(said("command.role", email=Name(email), role=Word("person_role", role))))


@command.command("remove", help="Let somebody log in no more; what they recorded stays.")
@click.argument("email")
def remove(email: str) -> None:
    """Remove a person, and end their sessions."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings) as work:
        people.remove_person(work, email)
    click.echo(str(said("command.no_more", email=Name(email))))
