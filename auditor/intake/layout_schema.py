"""What a layout file's record lacks under `schemas/layout.schema.json`, in words."""

import json
from functools import cache
from typing import Any

from auditor.resources import shipped

_KINDS = {
    "object": "fields in {}",
    "array": "a list in []",
    "string": "text in quotes",
    "integer": "a whole number",
    "null": "null",
}


def layout_fault_text(record: Any) -> str:
    """The first thing that is not as a layout is written: its place and what is wanted there; else nothing."""
    problem = min(_validator().iter_errors(record), key=lambda e: list(map(str, e.path)), default=None)
    return "" if problem is None else f"{_place(record, problem.absolute_path)}: {_wanted(problem)}"


@cache
def _validator() -> Any:
    import jsonschema
    from referencing import Registry

    schema = json.loads(shipped("schemas", "layout.schema.json").read_text(encoding="utf-8"))
    return jsonschema.Draft202012Validator(schema, registry=Registry())


def _place(record: Any, path: Any) -> str:
    """`sheet 'Pulls', column E, field`; entries that have no such name are counted from 1."""
    parts, here = [], record
    for step in path:
        here = here[step]
        if not isinstance(step, int):
            parts.append(step)
            continue
        listed = parts.pop() if parts else "entry"
        name = here.get(_NAMES.get(listed, "")) if isinstance(here, dict) else None
        word = {"tables": "sheet", "columns": "column"}.get(listed, listed)
        if not isinstance(name, str):
            parts.append(f"{listed}, number {step + 1}")
        else:
            parts.append(f"{word} {name[:60]!r}" if listed == "tables" else f"{word} {name[:60]}")
    return ", ".join(parts) or "the file"


_NAMES = {"tables": "sheet", "columns": "column"}


def _wanted(problem: Any) -> str:
    rule, value = problem.validator, problem.validator_value
    if rule == "required":
        return f"lacks {', '.join(name for name in value if name not in problem.instance)}"
    if rule == "additionalProperties":
        known = problem.schema["properties"]
        extra = ", ".join(repr(name[:60]) for name in problem.instance if name not in known)
        return f"has the unknown field {extra}; the fields are {', '.join(known)}"
    if rule in ("minItems", "maxItems"):
        few, many = problem.schema["minItems"], problem.schema["maxItems"]
        return f"wanted {few} to {many} entries, not {len(problem.instance)}"
    found = json.dumps(problem.instance, ensure_ascii=False)
    found = found if len(found) <= 60 else f"{found[:57]}..."
    return f"wanted {_words(rule, value)}, not {found}"


def _words(rule: str, value: Any) -> str:
    if rule == "enum":
        *others, last = ["null" if one is None else str(one) for one in value]
        return f"{', '.join(others)} or {last}"
    if rule == "type":
        return " or ".join(_KINDS.get(kind, kind) for kind in ([value] if isinstance(value, str) else value))
    if rule == "pattern":
        return "the letters of a column such as A or AB"
    if rule == "minLength":
        return "a file's name or a pattern such as *.xlsx"
    return {"minimum": "at least ", "maximum": "at most "}.get(rule, "") + str(value)
