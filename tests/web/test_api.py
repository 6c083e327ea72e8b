"""The JSON API: whatever is sent, an answer in words; the same rules as the forms; tokens that can
be taken back; what is sent twice is added once.
"""

from __future__ import annotations

import json
import re
import shutil
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import requests
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, Phase, given
from hypothesis import settings as trying
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance
from werkzeug.test import TestResponse

from scout.records import TokenRecord, read_sheet
from scout.settings import Settings
from scout.usecases import tokens
from scout.usecases.work import Who, open_work
from scout.web.api.document import document
from scout.web.api.endpoints import ENDPOINTS
from tests.web.conftest import Browser
from tests.web.real_server import served

ADA = Who(1, "Ada Example", "ada@example.org", "owner")
ROOM = {"name": "Parlour", "setting": "interior", "width_m": 5, "length_m": 6.5, "height_m": 2.7}
WINDOW = {"id": "W1", "wall": "A", "offset_m": 1, "sill_m": 0.9, "width_m": 2, "height_m": 1.5}


@dataclass
class Program:
    """A program that asks by a token."""

    app: Flask
    key: str

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> TestResponse:
        sent = {"Authorization": f"Bearer {self.key}"}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        return self.app.test_client().open(
            f"/api/v1{path}", method=method, json=body, headers=sent, buffered=True
        )

    def made(self, path: str, body: Any) -> int:
        answer = self.ask("POST", path, body)
        assert answer.status_code == 201, answer.text
        assert self.ask("GET", answer.json["there"].removeprefix("/api/v1")).status_code == 200
        return int(answer.json["id"])


def token_of(settings: Settings) -> str:
    with open_work(settings, ADA) as work:
        return tokens.make_token(work, TokenRecord(name="a script"))


@pytest.fixture
def program(app: Flask) -> Program:
    return Program(app, token_of(app.config["SILLBOOK"]))


def errors(answer: TestResponse) -> list[tuple[str, str]]:
    assert answer.mimetype == "application/problem+json"
    assert answer.json["status"] == answer.status_code
    return [(one["field"], one["because"]) for one in answer.json.get("errors", ())]


def test_a_scout_is_recorded_changed_and_read_back(program: Program, picture: bytes) -> None:
    """property: what was sent is what is read, and each save wants the version that was read."""
    place = program.made("/locations", {"name": "Mill", "address": "1 Lane"})
    room = program.made(f"/locations/{place}/rooms", ROOM)
    window = program.made(f"/rooms/{room}/windows", WINDOW)
    program.made(f"/rooms/{room}/notes", {"text": "cold in March"})
    job = program.made("/productions", {"title": "Film"})
    scene = program.made(f"/productions/{job}/scenes", {"name": "Talk"})
    chosen = program.made(f"/scenes/{scene}/rooms/{room}", {})
    read = program.ask("GET", f"/rooms/{room}")
    assert read.json["kept"]["record"] == ROOM
    assert [part["record"] for part in read.json["parts"]["windows"]] == [WINDOW]
    mark = read.headers["ETag"]
    saved = program.ask("PUT", f"/rooms/{room}", ROOM | {"height_m": 3}, If_Match=mark)
    assert saved.status_code == 200, saved.text
    assert saved.json["kept"]["record"]["height_m"] == 3
    stale = program.ask("PUT", f"/rooms/{room}", ROOM | {"height_m": 4}, If_Match=mark)
    assert stale.status_code == 409
    assert (stale.json["yours"]["height_m"], stale.json["theirs"]["height_m"]) == (4, 3)
    assert program.ask("PUT", f"/rooms/{room}", ROOM).status_code == 428
    marks = {"subject": [2.5, 3, 1.2]}
    version = saved.headers["ETag"]
    shown = program.ask("PUT", f"/rooms/{room}/marks", marks, If_Match=version)
    assert shown.json["marks"] == marks
    wall = {"light_reflectance": 0.5}
    assert program.ask("PUT", f"/rooms/{room}/surfaces/A", wall).status_code == 200
    assert program.ask("PUT", f"/rooms/{room}/surfaces/A", wall).status_code == 409
    none = program.ask("PUT", f"/rooms/{room}/doors/none")
    assert none.status_code == 200
    sheet = program.ask("GET", f"/rooms/{room}/sheet").json
    assert read_sheet(sheet).room.doors == ()
    again = program.made("/sheets", sheet)
    assert program.ask("GET", f"/rooms/{again}/sheet").json == sheet
    state = {"state": "first_choice", "reason": "light"}
    assert program.ask("PUT", f"/candidates/{chosen}", state, If_Match='"1"').status_code == 200
    findings = program.ask("GET", f"/rooms/{room}/findings?on=2026-06-21")
    assert findings.json["date"] == "2026-06-21"
    assert {one["level"] for one in findings.json["findings"]} >= {"unknown"}
    assert program.ask("DELETE", f"/windows/{window}", If_Match='"1"').status_code == 204
    assert program.ask("GET", f"/windows/{window}").status_code == 404


def test_what_is_refused_is_named_with_what_would_do(program: Program) -> None:
    place = program.made("/locations", {"name": "Mill"})
    refused = program.ask("POST", f"/locations/{place}/rooms", ROOM | {"height_m": -1, "hight": 2})
    assert refused.status_code == 422
    assert [path for path, _ in errors(refused)] == ["room.height_m", "room.hight"]
    assert "above 0" in errors(refused)[0][1]
    room = program.made(f"/locations/{place}/rooms", ROOM)
    beyond = program.ask("POST", f"/rooms/{room}/windows", WINDOW | {"sill_m": 2})
    assert [path for path, _ in errors(beyond)] == ["room.windows[0].height_m"]
    apart = program.ask("PUT", f"/rooms/{room}", ROOM | {"windows": []}, If_Match="1")
    assert [path for path, _ in errors(apart)] == ["windows"]
    assert [path for path, _ in errors(program.ask("GET", "/rooms?pgae=2"))] == ["pgae"]
    assert [path for path, _ in errors(program.ask("GET", "/rooms?after=x"))] == ["after"]
    assert program.ask("PUT", f"/rooms/{room}", ROOM, If_Match="*").status_code == 422
    sent = program.app.test_client().post(
        "/api/v1/locations",
        data='{"name": "Mill", "name": NaN}',
        headers={"Authorization": f"Bearer {program.key}", "Content-Type": "application/json"},
    )
    assert [path for path, _ in errors(sent)] == ["body"]
    assert program.ask("GET", "/nowhere").mimetype == "application/problem+json"
    assert program.ask("PATCH", "/rooms").status_code == 405
    assert program.ask("GET", "/locations/" + "9" * 30).status_code == 404


def test_what_is_sent_twice_is_added_once(program: Program, picture: bytes) -> None:
    place = program.made("/locations", {"name": "Mill"})
    once = str(uuid.uuid4())
    answers = []
    for _ in range(3):
        answers.append(
            program.app.test_client().post(
                f"/api/v1/locations/{place}/photos",
                data={"photo": (BytesIO(picture), "IMG_1.jpg")},
                headers={"Authorization": f"Bearer {program.key}", "Idempotency-Key": once},
            )
        )
    assert [one.status_code for one in answers] == [201, 200, 200]
    assert len({one.json["id"] for one in answers}) == 1
    assert [one.json["again"] for one in answers] == [False, True, True]
    photos = program.ask("GET", f"/locations/{place}").json["photos"]
    assert [one["original_name"] for one in photos] == ["IMG_1.jpg"]
    assert program.ask("GET", f"/photos/{photos[0]['id']}/original").data == picture
    assert program.ask("GET", f"/photos/{photos[0]['id']}/picture").data[:2] == b"\xff\xd8"
    refused = program.ask("POST", "/locations", {"name": "Mill"}, Idempotency_Key="mine")
    assert [path for path, _ in errors(refused)] == ["Idempotency-Key"]
    missing = program.ask("POST", f"/locations/{place}/photos")
    assert [path for path, _ in errors(missing)] == ["photo"]


def test_a_session_writes_only_with_the_token_of_its_forms(
    app: Flask, ada: Browser, program: Program
) -> None:
    bare = ada.client.post("/api/v1/locations", json={"name": "Mill"})
    assert bare.status_code == 400
    assert "X-CSRFToken" in bare.json["detail"]
    own = ada.client.post(
        "/api/v1/locations", json={"name": "Mill"}, headers={"X-CSRFToken": ada.token()}
    )
    assert own.status_code == 201
    # a wrong token is refused, although the session alone would be let in
    wrong = ada.client.get("/api/v1/locations", headers={"Authorization": "Bearer no"})
    assert (wrong.status_code, wrong.headers["WWW-Authenticate"]) == (401, "Bearer")
    # a token is for the API alone
    page = app.test_client().get("/rooms", headers={"Authorization": f"Bearer {program.key}"})
    assert page.status_code == 302


def test_tokens_are_made_shown_once_and_revoked(
    app: Flask, ada: Browser, stranger: Browser
) -> None:
    made = ada.post("/tokens", {"name": "phone"})
    found = re.search(r"sillbook_[\w-]{43}", made.text)
    assert found is not None
    program = Program(app, found[0])
    assert program.ask("GET", "/rooms").status_code == 200
    page = ada.get("/tokens").text
    assert "phone" in page
    assert "last used" in page
    assert found[0] not in page
    # only its hash is kept
    kept = (app.config["SILLBOOK"].data_dir / "sillbook.db").read_bytes()
    wal = app.config["SILLBOOK"].data_dir / "sillbook.db-wal"
    assert found[0].encode() not in kept + (wal.read_bytes() if wal.exists() else b"")
    assert ada.post("/tokens", {"name": ""}).status_code == 422
    assert ada.post("/tokens/77/revoke").status_code == 404
    ada.done("/tokens/1/revoke")
    assert program.ask("GET", "/rooms").status_code == 401


def test_the_document_tells_every_address(app: Flask, stranger: Browser) -> None:
    whole = stranger.get("/api/v1/openapi.json").json
    assert whole["openapi"].startswith("3.1")
    told = {(m.upper(), path) for path, ops in whole["paths"].items() for m in ops}
    assert told == {(one.method, one.path) for one in ENDPOINTS}
    for schema in whole["components"]["schemas"].values():
        Draft202012Validator.check_schema(schema)
    page = stranger.get("/api/v1/").text
    assert all(one.path in page for one in ENDPOINTS)
    assert all(f'id="{name}"' in page for name in ("RoomRecord", "LocationRecord", "Window"))


@pytest.fixture(scope="module")
def world(
    tmp_path_factory: pytest.TempPathFactory, ada_template: Path
) -> Iterator[tuple[str, str]]:
    """The real server over a small world, and a token for it."""
    settings = Settings(data_dir=tmp_path_factory.mktemp("api"))
    shutil.copy(ada_template, settings.data_dir / "sillbook.db")
    with served(settings) as visitor:
        key = token_of(settings)
        sends = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
        base = f"http://127.0.0.1:{visitor.port}/api/v1"
        for path, body in (
            ("/locations", {"name": "Mill", "latitude_deg": 51.45, "longitude_deg": -2.58}),
            ("/locations/1/rooms", ROOM),
            ("/rooms/1/windows", WINDOW),
            ("/rooms/1/notes", {"text": "cold"}),
            ("/productions", {"title": "Film"}),
            ("/productions/1/scenes", {"name": "Talk"}),
            ("/scenes/1/rooms/1", {}),
        ):
            assert requests.post(base + path, json.dumps(body), headers=sends).status_code == 201
        yield base, key


@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda mode: mode.value)
def test_nothing_sent_breaks_the_server(world: tuple[str, str], mode: GenerationMode) -> None:
    """property: for what the document allows, and for what it does not, the server answers; and
    what it answers is what the document says.
    """
    base, key = world
    schema = schemathesis.openapi.from_dict(document())
    schema.config.update(base_url=base)
    statuses: dict[str, set[int]] = {}
    for found in schema.get_all_operations():
        operation = found.ok()

        @trying(
            max_examples=3,
            phases=[Phase.generate],
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode), known=st.booleans())
        def send(case: Any, known: bool) -> None:
            if known:  # what is there is hit more often than by chance
                for name in case.path_parameters or ():
                    if name != "name":
                        case.path_parameters[name] = 1
            answer = case.call(headers={"Authorization": f"Bearer {key}"})
            case.validate_response(answer, checks=[not_a_server_error, response_schema_conformance])
            statuses.setdefault(case.operation.label, set()).add(answer.status_code)

        send()
    assert len(statuses) == len(ENDPOINTS)
    if mode is GenerationMode.POSITIVE:
        assert any(code < 300 for codes in statuses.values() for code in codes)
