"""schema = code: the contract of results.jsonl holds the keys that are written, no more and no fewer."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from auditor.resources import shipped
from auditor.results.audit_result import Status
from auditor.results.findings import Level, Verdict
from auditor.results.record import record
from tests.test_audit import RICH

SCHEMA = json.loads(shipped("schemas", "result.schema.json").read_text("utf-8"))
UNIT_SUFFIXES = {"m": "[m]", "w": "[W]", "a": "[A]", "v": "[V]", "nf": "[nF]"}


def resolved(schema: Mapping[str, Any]) -> Mapping[str, Any]:
    if "$ref" in schema:
        return resolved(SCHEMA["$defs"][schema["$ref"].rsplit("/", 1)[1]]) | {
            key: value for key, value in schema.items() if key != "$ref"
        }
    if "anyOf" in schema:
        return resolved(schema["anyOf"][0])
    return schema


def pairs(
    data: object, schema: Mapping[str, Any], path: str = ""
) -> Iterator[tuple[str, dict[str, Any], Mapping[str, Any]]]:
    """(path, object written, its schema) for every object in a record."""
    schema = resolved(schema)
    if isinstance(data, dict):
        yield path or "record", data, schema
        for key, value in data.items():
            yield from pairs(value, schema["properties"].get(key, {}), f"{path}.{key}".lstrip("."))
    elif isinstance(data, list):
        for item in data:
            yield from pairs(item, schema["items"], path + "[]")


WRITTEN = list(pairs(record(RICH), SCHEMA))


def test_the_record_tried_here_holds_every_kind_of_object() -> None:
    objects = [schema for schema in walk(SCHEMA) if schema.get("type") == "object" and "required" in schema]
    assert len({path for path, _, _ in WRITTEN}) >= len(objects)


def walk(schema: object) -> Iterator[Mapping[str, Any]]:
    if isinstance(schema, dict):
        yield schema
        for part in schema.values():
            yield from walk(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from walk(part)


@pytest.mark.parametrize(("path", "written", "schema"), WRITTEN, ids=[path for path, _, _ in WRITTEN])
def test_keys_written_are_the_keys_of_the_schema(
    path: str, written: dict[str, Any], schema: Mapping[str, Any]
) -> None:
    assert set(written) == set(schema["properties"]) == set(schema["required"])
    assert schema["additionalProperties"] is False


def test_words_are_those_of_the_code() -> None:
    defs = SCHEMA["$defs"]
    assert set(defs["verdict_or_unreadable"]["enum"]) == {verdict.value for verdict in Verdict}
    assert set(defs["verdict"]["enum"]) == {verdict.value for verdict in Verdict} - {"unreadable"}
    assert set(defs["status"]["enum"]) == {status.value for status in Status}
    assert set(defs["finding"]["properties"]["level"]["enum"]) == {level.value for level in Level}


def test_every_quantity_says_its_unit() -> None:
    quantities = {
        key: part
        for schema in walk(SCHEMA)
        for key, part in schema.get("properties", {}).items()
        if isinstance(part, dict) and key.rsplit("_", 1)[-1] in UNIT_SUFFIXES and "_" in key
    }
    assert quantities
    for key, part in quantities.items():
        text = part.get("description", "") + part.get("items", {}).get("description", "")
        assert UNIT_SUFFIXES[key.rsplit("_", 1)[-1]] in text, key
