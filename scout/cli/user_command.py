"""`scout user`: who may log in."""

from __future__ import annotations

import sys

import click

from scout.cli.keeping import kept
from scout.errors import Refused
from scout.records import Invited, Person
from scout.records.people import Role
from scout.usecases import codes, inviting, people
from scout.usecases.roles import ROLES
from scout.usecases.work import Work
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
    person = Person.read({"email": email, "name": name or email}, "")
    password = (
        _from_stdin()
        if password_stdin
        else str(click.prompt("Password", hide_input=True, confirmation_prompt=True))
    )
    with kept() as work:
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
    with kept(reading=True) as work:
        for one in people.everybody(work):
            click.echo(f"{one.email}  {one.name}  {one.role}")


@command.command("role", help="Say what somebody may do.")
@click.argument("email")
@click.argument("role", type=click.Choice(ROLES))
def role_(email: str, role: str) -> None:
    """Change a role."""
    with kept() as work:
        people.set_role(work, email, role)
    click.echo(str(said("command.role", email=Name(email), role=Word("person_role", role))))


@command.command("remove", help="Let somebody log in no more; what they recorded stays.")
@click.argument("email")
def remove(email: str) -> None:
    """Remove a person, and end their sessions."""
    with kept() as work:
        people.remove_person(work, email)
    click.echo(str(said("command.no_more", email=Name(email))))


@command.command("code-off", help="Ask somebody for no code any more, whose phone is lost.")
@click.argument("email")
def code_off(email: str) -> None:
    """End a second step, and the person's sessions."""
    with kept() as work:
        codes.end(work, email)
    click.echo(said("code.ended", name=Name(email)))


@command.command(
    "invite", help="Print a link by which somebody chooses a password and comes in; it works once."
)
@click.argument("email")
@click.option("--name", required=True, help="Name shown beside what they record.")
@click.option("--role", type=click.Choice(ROLES), required=True, help="What they may do.")
@click.option("--send", is_flag=True, help="Send it by mail too (needs SILLBOOK_SMTP).")
def invite(email: str, name: str, role: Role, send: bool) -> None:
    """Invite a person."""
    record = Invited.read({"email": email, "name": name, "role": role}, "")
    with kept() as work:
        _print_link(work, record.email, inviting.invite(work, record), send)


@command.command("reset", help="Print a link by which somebody chooses a new password, once.")
@click.argument("email")
@click.option("--send", is_flag=True, help="Send it by mail too (needs SILLBOOK_SMTP).")
def reset(email: str, send: bool) -> None:
    """Reset a password."""
    with kept() as work:
        _print_link(work, email, inviting.reset(work, email), send)


def _print_link(work: Work, email: str, token: str, send: bool) -> None:
    line = inviting.opened(work, token)
    click.echo(said("invite.link", email=Name(line.email), until=line.ends_at))
    click.echo(inviting.address_of(work, token))
    if send:
        inviting.send(work, email, token)
        click.echo(said("invite.sent", email=Name(line.email)))
