"""What a JSON record lacks under one of the schemas in `schemas/`, in words."""

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from auditor.resources import shipped

_KINDS = {
    "object": "fields in {}",
    "array": "a list in []",
    "string": "text in quotes",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
}
_BOUNDS = {"minimum": "at least ", "maximum": "at most ", "exclusiveMinimum": "more than "}
_LONGEST = 60  # characters of what was found that a sentence shows


@dataclass(frozen=True, slots=True)
class SchemaFault:
    """One thing that is not as the schema has it: the way to it in the record, and what is wanted there."""

    path: tuple[str | int, ...]  # names of fields, places in lists from 0
    sentence: str


def first_fault(schema: str, record: Any) -> SchemaFault | None:
    """The first fault of a record, in the order of its fields' names; None where it keeps the schema.

    Parameters
    ----------
    schema : file name in `schemas/`; a description in it says what is wanted, as a phrase
    """
    faults = _validator(schema).iter_errors(record)
    fault = min(faults, key=lambda each: list(map(str, each.path)), default=None)
    return None if fault is None else SchemaFault(tuple(fault.absolute_path), _sentence(fault))


@cache
def _validator(schema: str) -> Any:
    import jsonschema
    import referencing

    data = json.loads(shipped("schemas", schema).read_text("utf-8"))
    return jsonschema.Draft202012Validator(data, registry=referencing.Registry())  # nothing is fetched


def _sentence(fault: Any) -> str:
    keyword, value, found = fault.validator, fault.validator_value, fault.instance
    if keyword == "required":
        return f"lacks {', '.join(name for name in value if name not in found)}"
    if keyword == "additionalProperties" and isinstance(found, dict):
        known = fault.schema["properties"]
        extra = ", ".join(repr(name[:_LONGEST]) for name in found if name not in known)
        return f"has the unknown field {extra}; the fields are {', '.join(known)}"
    if keyword in ("minItems", "maxItems"):
        fewest, most = fault.schema["minItems"], fault.schema["maxItems"]
        return f"wanted {fewest} to {most} entries, not {len(found)}"
    shown = json.dumps(found, ensure_ascii=False)
    shown = shown if len(shown) <= _LONGEST else f"{shown[: _LONGEST - 3]}..."
    return f"wanted {_wanted(fault)}, not {shown}"


def _wanted(fault: Any) -> str:
    """What the schema asks for: its words of an enumeration, its description, else its keyword in words."""
    keyword, value = fault.validator, fault.validator_value
    if keyword == "enum":
        return _alternatives(["null" if each is None else str(each) for each in value])
    described = [fault.schema, *(each.schema for each in fault.context)]
    if description := next((each["description"] for each in described if "description" in each), None):
        return str(description)
    if keyword == "type":
        kinds = [value] if isinstance(value, str) else value
        return _alternatives([_KINDS.get(kind, kind) for kind in kinds])
    return f"{_BOUNDS.get(keyword, '')}{value}"


def _alternatives(words: list[str]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else words[0]
