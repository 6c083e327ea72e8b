"""The API told: as an OpenAPI document, from the classes that judge what is sent, and to read."""

from __future__ import annotations

from functools import cache
from typing import Any, get_args

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema
from pydantic_core import core_schema

from scout import __version__, records
from scout.records import RoomRecord
from scout.records.sheet import Surface
from scout.values import Spoken, said
from scout.web.api.endpoints import APART, ENDPOINTS, Endpoint, FileAnswer, PhotoFile
from scout.web.security import API

REF = "#/components/schemas/{model}"
OWN_ROOM = "RoomOwnFacts"
PROBLEM: dict[str, Any] = {
    "type": "object",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "given", "because"],
                "properties": {
                    "field": {"type": "string"},
                    "given": {"type": "string"},
                    "because": {"type": "string"},
                },
            },
        },
        "yours": {"type": "object"},
        "theirs": {"type": "object"},
        "version": {"type": "integer"},
    },
}


class _Schemas(GenerateJsonSchema):
    """A value that says itself is a text to whoever asks."""

    def dataclass_schema(self, schema: core_schema.DataclassSchema) -> dict[str, Any]:
        """The schema of a view."""
        if issubclass(schema["cls"], Spoken):
            return {"type": "string"}
        return super().dataclass_schema(schema)


@cache
def document() -> dict[str, Any]:
    """The OpenAPI document, version 3.1."""
    kinds = {
        repr(kind): kind
        for one in ENDPOINTS
        for kind in (one.takes, one.answers)
        if kind not in (None, PhotoFile, FileAnswer)
    }
    adapters = [(name, "validation", TypeAdapter(kind)) for name, kind in kinds.items()]
    for _, _, adapter in adapters:  # the views name records that they do not load
        adapter.rebuild(_types_namespace={**vars(records), "Surface": Surface})
    found, defined = TypeAdapter.json_schemas(
        adapters,  # type: ignore[arg-type]
        ref_template=REF,
        schema_generator=_Schemas,
    )
    schemas = defined["$defs"]
    room = schemas[RoomRecord.__name__]
    schemas[OWN_ROOM] = {
        **room,
        "title": OWN_ROOM,
        "properties": {k: v for k, v in room["properties"].items() if k not in APART},
    }
    schemas["Problem"] = PROBLEM
    of = {name: found[name, "validation"] for name in kinds}
    paths: dict[str, Any] = {}
    for one in ENDPOINTS:
        paths.setdefault(one.path, {})[one.method.lower()] = _operation(one, of)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Sillbook",
            "version": __version__,
            "description": str(said("api.about")),
        },
        "servers": [{"url": API}],
        "security": [{"token": []}],
        "paths": paths,
        "components": {
            "schemas": schemas,
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
        },
    }


def _operation(one: Endpoint, of: dict[str, Any]) -> dict[str, Any]:
    told: dict[str, Any] = {
        "operationId": one.name,
        "summary": one.words,
        "tags": [one.path.split("/")[1]],
        "parameters": _parameters(one),
        "responses": _responses(one, of),
    }
    if one.takes is PhotoFile:
        part = {"type": "string", "contentMediaType": "application/octet-stream"}
        schema = {"type": "object", "required": ["photo"], "properties": {"photo": part}}
        told["requestBody"] = {
            "required": True,
            "content": {"multipart/form-data": {"schema": schema}},
        }
    elif one.takes is not None:
        schema = {"$ref": REF.format(model=OWN_ROOM)} if one.without else of[repr(one.takes)]
        told["requestBody"] = {
            "required": True,
            "content": {"application/json": {"schema": schema}},
        }
    return told


def _parameters(one: Endpoint) -> list[dict[str, Any]]:
    found = [
        {
            "name": name,
            "in": "path",
            "required": True,
            "schema": {"type": "string"}
            if name == "name"
            else {"type": "integer", "minimum": 1, "maximum": 2**31 - 1},
        }
        for name in one.in_path
    ]
    asks = one.asks.model_json_schema(ref_template=REF)
    found += [
        {"name": name, "in": "query", "required": False, "schema": _plain(schema)}
        for name, schema in asks.get("properties", {}).items()
    ]
    if one.versioned != "no":
        found.append(
            {
                "name": "If-Match",
                "in": "header",
                "required": one.versioned == "yes",
                "description": str(said("api.if_match")),
                "schema": {"type": "string", "pattern": r'^"?[0-9]{1,10}"?$'},
            }
        )
    if one.makes is not None:
        found.append(
            {
                "name": "Idempotency-Key",
                "in": "header",
                "required": False,
                "description": str(said("api.idempotency")),
                "schema": {"type": "string", "format": "uuid"},
            }
        )
    return found


def _plain(schema: dict[str, Any]) -> dict[str, Any]:
    """A question left out is not asked: nobody writes null into an address."""
    kinds = [one for one in schema.get("anyOf", ()) if one != {"type": "null"}]
    return kinds[0] if len(kinds) == 1 else schema


def _responses(one: Endpoint, of: dict[str, Any]) -> dict[str, Any]:
    problem = {
        "description": str(said("api.problem")),
        "content": {"application/problem+json": {"schema": {"$ref": REF.format(model="Problem")}}},
    }
    shown = next((s for s in ENDPOINTS if s.method == "GET" and s.path == one.shows), one)
    if shown.answers is None:
        good: dict[str, Any] = {"204": {"description": one.words}}
    elif shown.answers is FileAnswer:
        content = {"schema": {"type": "string", "contentMediaType": "image/*"}}
        good = {"200": {"description": one.words, "content": {"*/*": content}}}
    else:
        body = {
            "description": one.words,
            "content": {"application/json": {"schema": of[repr(shown.answers)]}},
        }
        good = {"201": body, "200": body} if one.makes else {"200": body}
    return {**good, "default": problem}


# -- to read
def reading() -> dict[str, Any]:
    """What the readable page shows: the endpoints by what they are about, and the records."""
    whole = document()
    groups: dict[str, list[Endpoint]] = {}
    for one in ENDPOINTS:
        groups.setdefault(one.path.split("/")[1], []).append(one)
    return {
        "groups": groups,
        "takes": {one.name: _taken_name(one) for one in ENDPOINTS},
        "records": {
            name: [
                (key, _type(schema), key in body.get("required", ()))
                for key, schema in body.get("properties", {}).items()
            ]
            for name, body in sorted(whole["components"]["schemas"].items())
            if body.get("properties")
        },
    }


def _taken_name(one: Endpoint) -> str | None:
    if one.takes is None:
        return None
    if one.takes is PhotoFile:
        return str(get_args(PhotoFile)[0])
    return OWN_ROOM if one.without else str(one.takes.__name__)


def _type(schema: dict[str, Any]) -> str:
    """A type in one line: its kind, its words, its borders."""
    if "$ref" in schema:
        return str(schema["$ref"]).rpartition("/")[2]
    kinds = schema.get("anyOf") or schema.get("oneOf")
    if kinds:
        return " | ".join(dict.fromkeys(_type(one) for one in kinds if one.get("type") != "null"))
    if "enum" in schema or "const" in schema:
        return ", ".join(map(str, schema.get("enum", [schema.get("const")])))
    if schema.get("type") == "array":
        inner = schema.get("items") or {}
        several = schema.get("prefixItems")
        return f"[{', '.join(map(_type, several))}]" if several else f"[{_type(inner)}]"
    borders = [
        f"{sign} {schema[key]:g}"
        for key, sign in (
            ("exclusiveMinimum", ">"),
            ("minimum", "≥"),
            ("exclusiveMaximum", "<"),
            ("maximum", "≤"),
        )
        if key in schema
    ]
    return " ".join([str(schema.get("format") or schema.get("type") or "any"), *borders])
