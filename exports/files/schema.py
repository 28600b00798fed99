"""The JSON schema of a report, built from the classes of its rows and what they say of each field."""

from dataclasses import fields, is_dataclass
from datetime import date, datetime
from inspect import getdoc
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from exports.files.jsonfile import FORMAT, MINOR, MONEY, VERSION, has_amounts
from exports.report import UsageReport
from exports.units import Tension

LOCAL_TIME = r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}$"

_PLAIN: dict[Any, dict[str, Any]] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    str: {"type": "string"},
    NoneType: {"type": "null"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "pattern": LOCAL_TIME},
}


def json_schema() -> dict[str, Any]:
    """Return the schema (JSON Schema, draft 2020-12) of what `exports.files.jsonfile.write_json` writes."""
    definitions: dict[str, Any] = {}
    report = _object(UsageReport, definitions)
    stamp = {
        "format": {"const": FORMAT, "description": "name of the format"},
        "version": {"const": VERSION, "description": "version of the format"},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:stringing-desk:{FORMAT}:{VERSION}",
        "title": "Usage report of a stringing desk",
        **report,
        "properties": stamp | report["properties"],
        "required": [*stamp, *report["required"]],
        "$defs": dict(sorted(definitions.items())),
    }


def _object(kind: type, definitions: dict[str, Any]) -> dict[str, Any]:
    hints = get_type_hints(kind, include_extras=True)
    properties = {
        field.name.removesuffix(MINOR): _property(hints[field.name], definitions, is_minor=field.name.endswith(MINOR))
        for field in fields(kind)
    }
    if has_amounts(kind):
        properties.setdefault("currency", {"type": "string", "description": "ISO 4217 code of the amounts"})
    if kind is Tension:
        for unit in ("lb", "kg"):
            properties[unit] = {"type": "number", "description": f"the same in {unit}"}
    return {
        "type": "object",
        "description": (getdoc(kind) or "").split("\n")[0],
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _property(hint: Any, definitions: dict[str, Any], *, is_minor: bool) -> dict[str, Any]:
    """The schema of an annotated field with its description; of minor units, that of the amount."""
    described = get_origin(hint) is Annotated
    kind, description = get_args(hint) if described else (hint, "")
    if is_minor:
        kind, description = {int: float}.get(kind, float | None), f"{description}; in the currency itself"
    return {**_schema(kind, definitions), **({"description": description} if description else {})}


def _schema(kind: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    if kind in _PLAIN:
        return dict(_PLAIN[kind])
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Literal:
        return {"enum": [MONEY if part == "minor" else part for part in parts]}
    if origin in (Union, UnionType):
        return {"anyOf": [_schema(part, definitions) for part in parts]}
    if origin is tuple:
        return {"type": "array", "items": _schema(parts[0], definitions)}
    if not (isinstance(kind, type) and is_dataclass(kind)):
        raise TypeError(f"The schema has no rule for {kind}.")
    if kind.__name__ not in definitions:
        definitions[kind.__name__] = _object(kind, definitions)
    return {"$ref": f"#/$defs/{kind.__name__}"}
