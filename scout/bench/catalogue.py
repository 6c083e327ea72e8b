"""How long the pages of a large catalogue take: 10,000 places, 50,000 rooms, 200,000 photos."""

from __future__ import annotations

import math
import os
import secrets
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from flask.testing import FlaskClient
from sqlalchemy import create_engine, insert, text
from sqlalchemy.engine import make_url

from scout.bench.measure import Row, held, seconds
from scout.records import Person
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.usecases import people
from scout.usecases.archive import count_on
from scout.usecases.work import open_work, prepare
from scout.web.app import create_app

PLACES, ROOMS, PHOTOS = 10_000, 50_000, 200_000
AT_ONCE = 5_000
TIMES = 40
GOAL_S = 0.1
STREETS = ("Alder", "Birch", "Cedar", "Dock", "Elm", "Foundry", "Grange", "Harbour")
USES = ("Parlour", "Hall", "Office", "Studio", "Kitchen", "Library", "Loft", "Court")


def fill(settings: Settings, share: float = 1.0) -> None:
    """Make the catalogue, the same each time. `share`: of its full size, for a trial."""
    chance = np.random.default_rng(23)
    at = datetime(2026, 1, 1, tzinfo=UTC)
    signed = {"version": 1, "created_at": at, "changed_at": at, "created_by": "bench"}
    places, rooms, photos = (round(n * share) for n in (PLACES, ROOMS, PHOTOS))
    with databases.engine(settings.url).begin() as connection:

        def put(kind: type[Any], rows: Iterator[dict[str, Any]]) -> None:
            held: list[dict[str, Any]] = []
            for row in rows:
                held.append({**signed, **row})
                if len(held) == AT_ONCE:
                    connection.execute(insert(kind), held)
                    held.clear()
            if held:
                connection.execute(insert(kind), held)

        put(models.Location, (_place(key, chance) for key in range(1, places + 1)))
        put(models.Room, (_room(key, places, chance) for key in range(1, rooms + 1)))
        put(models.Window, (_window(key, rooms) for key in range(1, rooms + 1)))
        put(models.Photo, (_photo(key, places, rooms) for key in range(1, photos + 1)))
        put(models.Production, ({"id": key, "title": f"Job {key}"} for key in range(1, 201)))
        put(models.Scene, ({"id": k, "production_id": k, "name": "Talk"} for k in range(1, 201)))
        for name in ("location", "room", "photo", "production", "scene"):
            count_on(connection, models.Base.metadata.tables[name])


def _place(key: int, chance: np.random.Generator) -> dict[str, Any]:
    street = STREETS[key % len(STREETS)]
    return {
        "id": key,
        "name": f"{street} House {key * 7919 % 100_003}",
        "address": f"{key} {street} Street",
        "latitude_deg": float(chance.uniform(48, 56)),
        "longitude_deg": float(chance.uniform(-5, 12)),
        "timezone": "Europe/Berlin",
    }


def _room(key: int, places: int, chance: np.random.Generator) -> dict[str, Any]:
    return {
        "id": key,
        "location_id": key % places + 1,
        "name": f"{USES[key % len(USES)]} {key}",
        "tags": ["brick"] if key % 50 == 0 else None,
        "setting": "interior",
        "width_m": float(chance.uniform(2, 8)),
        "length_m": float(chance.uniform(2, 10)),
        "height_m": 2.5,
    }


def _window(key: int, rooms: int) -> dict[str, Any]:
    return {"room_id": key % rooms + 1, "label": "W1", "wall": "A"}


def _photo(key: int, places: int, rooms: int) -> dict[str, Any]:
    return {
        "id": key,
        "room_id": key % rooms + 1 if key % 40 else None,
        "location_id": None if key % 40 else key // 40 % places + 1,
        "sha256": f"{key:064x}",
        "bytes": 1,
        "original_name": f"{key}.jpg",
        "mime": "image/jpeg",
        "width_px": 4000,
        "height_px": 3000,
        "facts": {},
        "caption": f"Seen from the door {key}" if key % 4 == 0 else None,
        "in_packet": True,
        "position": key,
    }


def pages() -> dict[str, list[str]]:
    """Addresses of every kind of page that a large catalogue could slow, as people meet them."""
    return {
        "first page": ["/"],
        "locations, first and last page": ["/locations", "/locations?end=1"],
        "rooms, first and last page": ["/rooms", "/rooms?end=1"],
        "rooms after one in the middle": [f"/rooms?after={25_000 + k}" for k in range(TIMES)],
        "rooms by name": [f"/rooms?text=Loft+{k}" for k in range(300, 300 + TIMES)],
        "a room that nothing holds": ["/rooms?text=nowhere+at+all"],
        "locations by name": ["/locations?text=Cedar", "/locations?text=House+41"],
        "a location": [f"/locations/{100 + k}" for k in range(TIMES)],
        "the map": ["/map", "/map?text=Alder"],
        "rooms to propose": ["/scenes/1/propose", "/scenes/1/propose?text=Hall"],
        "rooms found by words": [f"/find?text=seen+door+{4 * k}" for k in range(1, TIMES)],
    }


def logged_in(settings: Settings) -> FlaskClient:
    """The pages as somebody sees them who has logged in."""
    with open_work(settings) as work:
        password = secrets.token_urlsafe(24)
        people.add_person(work, Person(name="Bench", email="bench@example.org"), password)
    app = create_app(settings)
    app.config.update(WTF_CSRF_ENABLED=False)
    client = app.test_client()
    client.post("/login", data={"email": "bench@example.org", "password": password})
    return client


def p95_s(client: FlaskClient, addresses: list[str]) -> float:
    """The time that 95 of 100 answers take at most, after one of each to warm up."""

    def ask(address: str) -> None:
        answer = client.get(address)
        assert answer.status_code == 200, (address, answer.status_code)
        answer.get_data()

    for address in addresses[:2]:
        ask(address)
    took = sorted(
        seconds(lambda k=k: ask(addresses[k % len(addresses)]))  # type: ignore[misc]
        for k in range(TIMES)
    )
    return took[math.ceil(0.95 * len(took)) - 1]


def rows() -> Iterator[Row]:
    """Each kind of page on SQLite, and on PostgreSQL where a server is named."""
    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder:
        yield from _on("SQLite", Settings(Path(folder)))
    if (server := os.environ.get("SILLBOOK_TEST_POSTGRES_URL")) is not None:
        with (
            on_server(server) as url,
            tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder,
        ):
            yield from _on("PostgreSQL", Settings(Path(folder), database_url=url))


@contextmanager
def on_server(server: str) -> Iterator[str]:
    """The address of a database of its own on a server of PostgreSQL, for as long as the block lasts."""
    name = f"sillbook_bench_{secrets.token_hex(4)}"
    admin = create_engine(server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f'create database "{name}"'))
    url = make_url(server).set(database=name).render_as_string(hide_password=False)
    try:
        yield url
    finally:
        databases.engine(url).dispose()
        with admin.connect() as connection:
            connection.execute(text(f'drop database "{name}" with (force)'))
        admin.dispose()


def _on(name: str, settings: Settings) -> Iterator[Row]:
    prepare(settings)
    fill(settings)
    prepare(settings)
    with databases.engine(settings.url).begin() as connection:
        connection.execute(text("analyze"))
    client = logged_in(settings)
    for kind, addresses in pages().items():
        took_s = p95_s(client, addresses)
        yield held(f"{kind}, 95 of 100 answers, {name}", took_s, GOAL_S)
