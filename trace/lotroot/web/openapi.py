"""What does the command API look like to a program: OpenAPI 3.1, made from the commands themselves?"""

import dataclasses
import types
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from lotroot.posting.features import COMMANDS, handler_of_kind

_TEXTS = {
    "person": "The number of the person who acts (H...).",
    "station": "The number of the station (T...); the device's own where left out.",
    "happened": "When it happened, RFC 3339 with offset; now where left out.",
    "answers": "Answers to questions asked before, by the question's id.",
    "basis": "at once, late, or from memory.",
    "already": "It has happened already and is only recorded: takes a supervisor's badge and PIN.",
}
_STATUSES = {
    "400": "key-missing: no usable Idempotency-Key",
    "401": "who: the device or the person is not known",
    "403": "role: the person's roles do not cover it",
    "404": "unknown: a number or name that is not recorded",
    "409": "refused (held, wrong, already), or ask: a question to be answered",
    "413": "too large",
    "415": "not JSON",
    "422": "invalid, or key-reused",
}


@cache
def document() -> dict[str, Any]:
    """The whole description."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Lotroot",
            "version": "1",
            "summary": "Record what happens on the floor; read lots.",
        },
        "security": [{"device": []}],
        "paths": {
            **{f"/api/commands/{name}": {"post": _operation(name, kind)} for name, kind in COMMANDS.items()},
            "/api/devices": {"post": _enrolment()},
            "/api/lots/{number}": {"get": _read("One lot", [_number()])},
            "/api/lots/{number}/lineage": {"get": _read("A lot's lineage", [_number(), _direction()])},
            "/api/openapi.json": {"get": _read("This description", [])},
        },
        "components": {
            "securitySchemes": {"device": {"type": "http", "scheme": "bearer"}},
            "schemas": {"Answer": _ANSWER, "Problem": _PROBLEM},
        },
    }


def _operation(name: str, kind: type) -> dict[str, Any]:
    answer = {"$ref": "#/components/schemas/Answer"}
    return {
        "operationId": name,
        "summary": (kind.__doc__ or "").split("\n")[0],
        "description": "Takes a PIN in Lotroot-PIN." if handler_of_kind(kind).pin else "",
        "parameters": [_key()],
        "requestBody": {"required": True, "content": {"application/json": {"schema": _body(kind)}}},
        "responses": {
            "201": _answer("Recorded", answer),
            "200": _answer("Recorded before, under the same key", answer),
            **_problems(),
        },
    }


def _enrolment() -> dict[str, Any]:
    """How a device gets its token: the one request that needs none."""
    code = {"type": "object", "properties": {"code": {"type": "string"}}, "required": ["code"]}
    told = {name: {"type": "string"} for name in ("device", "station", "token")}
    answer = {"type": "object", "properties": told, "required": list(told)}
    return {
        "operationId": "EnrolDevice",
        "summary": "Make a device known with the code the administrator made for it; gives its token, once.",
        "security": [],
        "requestBody": {"required": True, "content": {"application/json": {"schema": code}}},
        "responses": {
            "201": _answer("Known from now on", answer),
            **_problems(),
            "429": {"description": "too-fast: too many wrong codes in the last minute"},
        },
    }


def _read(summary: str, parameters: list[dict[str, Any]]) -> dict[str, Any]:
    answers = {"200": _answer(summary, {"type": "object"}), "304": {"description": "Nothing has changed"}}
    return {"summary": summary, "parameters": parameters, "responses": {**answers, **_problems()}}


def _answer(words: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"description": words, "content": {"application/json": {"schema": schema}}}


def _problems() -> dict[str, Any]:
    content = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {status: {"description": words, "content": content} for status, words in _STATUSES.items()}


def _body(kind: type) -> dict[str, Any]:
    """The flat object of a command's own fields and those beside them."""
    hints = get_type_hints(kind)
    fields = dataclasses.fields(kind)  # every command is a dataclass
    own = {field.name: _schema(hints[field.name]) for field in fields}
    required = [field.name for field in fields if field.default is dataclasses.MISSING]
    return {
        "type": "object",
        "properties": {**own, **_beside()},
        "required": [*required, "person"],
        "additionalProperties": False,
    }


def _beside() -> dict[str, Any]:
    schemas: dict[str, dict[str, Any]] = {name: {"type": "string"} for name in _TEXTS}
    schemas["happened"] = {"type": "string", "format": "date-time"}
    schemas["answers"] = {"type": "object", "additionalProperties": {"type": "string"}}
    schemas["already"] = {"type": "boolean"}
    return {name: {**schema, "description": _TEXTS[name]} for name, schema in schemas.items()}


def _schema(hint: Any) -> dict[str, Any]:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        inner = [_schema(one) for one in get_args(hint) if one is not type(None)]
        return {"anyOf": [*inner, {"type": "null"}]}
    if origin is tuple:
        return {"type": "array", "items": _schema(get_args(hint)[0])}
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        hints = get_type_hints(hint)
        properties = {field.name: _schema(hints[field.name]) for field in dataclasses.fields(hint)}
        return {"type": "object", "properties": properties, "additionalProperties": False}
    return dict(_PLAIN[hint])


_PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer", "minimum": -(2**53 - 1), "maximum": 2**53 - 1},
}


def _key() -> dict[str, Any]:
    schema = {"type": "string", "pattern": "^[A-Za-z0-9-]{16,64}$"}
    return {"name": "Idempotency-Key", "in": "header", "required": True, "schema": schema}


def _number() -> dict[str, Any]:
    return {"name": "number", "in": "path", "required": True, "schema": {"type": "string"}}


def _direction() -> dict[str, Any]:
    schema = {"type": "string", "enum": ["up", "down"], "default": "up"}
    return {"name": "direction", "in": "query", "schema": schema}


_TEXT_LIST = {"type": "array", "items": {"type": "string"}}
_ANSWER = {
    "type": "object",
    "properties": {
        "posting": {"type": "integer"},
        "recorded": {"type": "string", "format": "date-time"},
        "verdict": {"enum": ["accepted", "in_question"]},
        "numbers": _TEXT_LIST,
        "labels": _TEXT_LIST,
        "say": {"type": "string"},
    },
    "required": ["posting", "recorded", "verdict", "numbers", "labels", "say"],
}
_PROBLEM = {
    "type": "object",
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "value": {"type": "string"},
        "expected": {"type": "string"},
        "next": {"type": "string"},
        "word": {"enum": ["held", "wrong", "already"]},
        "question": {"type": "object"},
    },
    "required": ["type", "title", "status", "detail", "value", "expected", "next"],
}
