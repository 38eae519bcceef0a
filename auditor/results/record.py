"""The record of an audit: one line of `results.jsonl`, after `schemas/result.schema.json`, and its reading.

The fields of the result classes, in their order, are those of the record; the tables below say what
differs. A field of the record is only ever added, never renamed or removed.
"""

import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from auditor.errors import AuditorError
from auditor.results.audit_result import (
    Audit,
    ChoiceResult,
    ControllersResult,
    Move,
    PullResult,
    QuestionResult,
    RunResult,
)
from auditor.results.findings import Finding

_KEYS = {
    (PullResult, "near"): "from",
    (PullResult, "far"): "to",
    (Move, "origin"): "from",
    (Move, "target"): "to",
}
_NOT_RECORDED = frozenset(
    (
        (RunResult, "lowest_known"),
        (PullResult, "branch"),
        (PullResult, "feeds"),
        (PullResult, "current_a"),
        (PullResult, "off_spec"),
        (ChoiceResult, "outcome"),
        (ChoiceResult, "tried"),
        (Finding, "typed"),
        (Finding, "refused"),
        (QuestionResult, "waits"),
        (QuestionResult, "typed"),
        (Audit, "ways_untried"),
        (Audit, "left_answers"),
        (Audit, "unknown_ends"),
        (Audit, "tables"),
        (Audit, "statements"),
        (Audit, "voltage_basis"),
        (Audit, "crashed"),
    )
)
_WHERE = "where"  # the cell of a row or a finding, recorded last as `sheet` and `cell`
_NOT_READ = frozenset(
    (Audit, name) for name in ("runs", "findings", "questions", "devices", "port_plan")
)  # no order needs


def record(audit: Audit) -> dict[str, Any]:
    """One line of `results.jsonl`: plain dicts, lists, numbers and text, valid under
    `schemas/result.schema.json`."""
    data: dict[str, Any] = {"schema": 1} | _record_of(audit)
    if audit.controllers is None:
        data["controllers"] = {key: None for _, key, _, _ in _recorded_fields(ControllersResult)}
    return data


def finding_record(finding: Finding) -> dict[str, Any]:
    """One finding as it stands in a line of `results.jsonl`."""
    data: dict[str, Any] = _record_of(finding)
    return data


def read_results(path: Path) -> Iterator[Audit]:
    """The audits of a `results.jsonl`, with what an order needs: pulls, controllers, supplies, cut lists.

    Raises
    ------
    AuditorError : a line that this program did not write; names it
    """
    with path.open(encoding="utf-8") as lines:
        for number, line in enumerate(lines, 1):
            try:
                yield _audit_of(json.loads(line))
            except (ValueError, KeyError, TypeError, AttributeError):
                raise AuditorError(
                    f"{path}: line {number} is no result of an audit; run «auditor check» again"
                ) from None


@cache
def _recorded_fields(kind: type[Any]) -> tuple[tuple[str, str, Any, bool], ...]:
    """(name, key in the record, type, whether it holds results or a list) of every recorded field of a
    result class, its cell left out."""
    types = get_type_hints(kind)
    return tuple(
        (each.name, _KEYS.get((kind, each.name), each.name), types[each.name], _is_nested(types[each.name]))
        for each in fields(kind)
        if each.name != _WHERE and (kind, each.name) not in _NOT_RECORDED
    )


def _is_nested(kind: Any) -> bool:
    return get_origin(kind) is tuple or is_dataclass(kind) or any(map(_is_nested, get_args(kind)))


def _record_of(value: Any) -> Any:
    """A value of an audit as the record holds it."""
    kind: Any = type(value)
    if kind is tuple:
        return [_record_of(each) for each in value]
    if not is_dataclass(value):
        return value
    data: dict[str, Any] = {}
    for name, key, _, nested in _recorded_fields(kind):
        item = getattr(value, name)
        data[key] = _record_of(item) if nested else item
    if hasattr(value, _WHERE):
        where = getattr(value, _WHERE)
        data["sheet"], data["cell"] = (where.sheet, where.a1) if where else (None, None)
    return data


def _audit_of(data: dict[str, Any]) -> Audit:
    """An audit out of its record."""
    if data["controllers"]["scheduled"] is None:
        data = data | {"controllers": None}
    audit: Audit = _value_of(Audit, data)
    return audit


def _value_of(kind: Any, data: Any) -> Any:
    """The value of a type out of what the record holds; a field that is not there has its default."""
    if get_origin(kind) is UnionType:
        (kind,) = (each for each in get_args(kind) if each is not type(None))
        if data is None:
            return None
    if get_origin(kind) is tuple:
        return tuple(_value_of(get_args(kind)[0], each) for each in data)
    if issubclass(kind, StrEnum):
        return kind(data)
    return _result_of(kind, data) if hasattr(kind, "__dataclass_fields__") else data


def _result_of(kind: Any, data: dict[str, Any]) -> Any:
    """A result of a class out of its record."""
    return kind(
        **{
            name: _value_of(of, data[key])
            for name, key, of, _ in _recorded_fields(kind)
            if key in data and (kind, name) not in _NOT_READ
        }
    )
