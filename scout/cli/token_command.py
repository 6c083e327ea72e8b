"""`scout token`: keys by which programs ask the JSON API in a person's name."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import click

from scout.cli.keeping import kept
from scout.records import TokenRecord
from scout.usecases import tokens
from scout.usecases.work import Work
from scout.values import Name, said


@click.group(help="Let programs ask the JSON API in a person's name.")
def command() -> None:
    """Tokens."""


@contextmanager
def _as(email: str) -> Iterator[Work]:
    with kept() as work:
        work.who = tokens.person_called(work, email)
        yield work


@command.command("add", help="Make a token and print it; it is shown this once.")
@click.argument("email")
@click.option("--name", required=True, help="What it is for.")
def add(email: str, name: str) -> None:
    """Make a token."""
    record = TokenRecord.read({"name": name}, "")
    with _as(email) as work:
        click.echo(tokens.make_token(work, record))


@command.command("list", help="List a person's tokens, the newest first.")
@click.argument("email")
def list_(email: str) -> None:
    """List tokens."""
    with _as(email) as work:
        for line in tokens.tokens(work):
            told = said(
                "look.token",
                key=Name(str(line.id)),
                name=Name(line.name),
                made=line.made_at,
                used=line.used_at,
            )
            click.echo(told)


@command.command("revoke", help="End the token of that number, as `scout token list` shows it.")
@click.argument("email")
@click.argument("key", type=int)
def revoke(email: str, key: int) -> None:
    """Revoke a token."""
    with _as(email) as work:
        tokens.revoke_token(work, key)
    click.echo(said("look.token_revoked", key=Name(str(key))))
