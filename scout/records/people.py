"""Who is let in, as whoever lets them in says it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from scout.records.base import EMAIL, Name, Record, Text
from scout.records.kept import Person

# owner: says who may do what. scout: records places and rooms. producer: runs the days and settles
# fees. crew: works on the day. guest: looks.
Role = Literal["owner", "scout", "producer", "crew", "guest"]


class Invited(Person):
    """Somebody who is to log in, and what they may do."""

    role: Role


class Named(Record):
    """Somebody as notes, contacts and crews name them, with or without an account."""

    name: Name
    email: Annotated[Text, Field(max_length=200, pattern=EMAIL)] | None = None
    phone: Text | None = None
