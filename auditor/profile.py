"""Profiles: load, extend and check the JSON in which a kind of bus states its limits.

A profile `extends` another and says only what differs. It comes from a trusted folder, never from
a workbook; the schema holds no remote references.
"""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from auditor.errors import ProfileError
from auditor.limits import Profile, profile_from
from auditor.resources import shipped

DEFAULT = "two-wire-35w"
SIDE_FILE = "profile.json"  # beside a workbook, or in a folder above it


def shipped_names() -> list[str]:
    return sorted(path.stem for path in shipped("schemas").glob("*.json") if ".schema" not in path.name)


def load_profile(name_or_file: str, overrides: Mapping[str, object] | None = None) -> Profile:
    """A profile by shipped name or by file, checked and in plain numbers.

    Parameters
    ----------
    name_or_file : a shipped profile's name, or the path of a JSON file
    overrides : field path -> value, e.g. {"run.cable": "1800 ft"}, laid over the profile

    Raises
    ------
    ProfileError : names the file, the field and what would be right
    """
    data = _merged(name_or_file, Path(), ())
    for path, value in (overrides or {}).items():
        _override(data, path, value)
    origin = _origin(name_or_file, Path())[1]
    _validate(data, origin)
    missing = [key for key in _NEEDED if key not in data]
    if missing:
        raise ProfileError(f"{origin}: {missing[0]} is missing; add it or extend a shipped profile")
    return profile_from(data)


def side_profile(workbook: Path) -> Path | None:
    """`profile.json` in the workbook's folder or the nearest one above it."""
    for folder in workbook.resolve().parents:
        if (folder / SIDE_FILE).is_file():
            return folder / SIDE_FILE
    return None


_NEEDED = (
    "controller",
    "run",
    "loops",
    "cable",
    "off_spec_factor",
    "device",
    "conductor_temperature",
    "review_above",
    "cutting",
)


@cache
def _validator() -> Any:
    import jsonschema
    import referencing

    schema = json.loads(shipped("schemas", "profile.schema.json").read_text("utf-8"))
    return jsonschema.Draft202012Validator(schema, registry=referencing.Registry())


def _validate(data: Mapping[str, Any], origin: str) -> None:
    problem = min(_validator().iter_errors(data), key=lambda fault: list(map(str, fault.path)), default=None)
    if problem is None:
        return
    place = ".".join(map(str, problem.absolute_path)) or "the profile"
    raise ProfileError(f"{origin}: {place} {_wanted(problem)}")


def _wanted(problem: Any) -> str:
    found = json.dumps(problem.instance)
    found = found if len(found) <= 60 else found[:57] + "..."
    hint = problem.schema.get("description") if isinstance(problem.schema, dict) else None
    if problem.validator == "additionalProperties" and isinstance(problem.instance, dict):
        known = sorted(problem.schema["properties"])
        extra = sorted(set(problem.instance) - set(known))
        return f"has the unknown field {', '.join(extra)}; the fields are {', '.join(known)}"
    if problem.validator == "required":
        return f"lacks a field: {problem.message}"
    if problem.validator == "anyOf":
        hint = next((branch.schema.get("description") for branch in problem.context or ()), None)
    if problem.validator == "enum":
        hint = "one of " + ", ".join(map(str, problem.validator_value))
    return f"is {found}; wanted {hint or problem.validator + ' ' + json.dumps(problem.validator_value)}"


def _origin(name_or_file: str, folder: Path) -> tuple[Path, str]:
    if name_or_file in shipped_names():
        return shipped("schemas", f"{name_or_file}.json"), name_or_file
    path = folder / name_or_file
    if path.is_file():
        return path, str(name_or_file)
    raise ProfileError(
        f"no profile named {name_or_file!r}: the shipped ones are {', '.join(shipped_names())}, "
        "or give the path of a JSON file"
    )


def _merged(name_or_file: str, folder: Path, seen: tuple[Path, ...]) -> dict[str, Any]:
    path, origin = _origin(name_or_file, folder)
    if path in seen:
        raise ProfileError(f"{origin}: extends itself by way of {seen[-1].name}")
    data = _read(path, origin)
    base = data.pop("extends", None)
    if base is None:
        return data
    return _laid_over(_merged(base, path.parent, (*seen, path)), data)


def _read(path: Path, origin: str) -> dict[str, Any]:
    def refuse(constant: str) -> float:
        raise ProfileError(f"{origin}: {constant} is no number")

    try:
        data = json.loads(path.read_text("utf-8-sig"), parse_constant=refuse)
    except (json.JSONDecodeError, UnicodeDecodeError) as fault:
        raise ProfileError(f"{origin}: this is no JSON text ({fault})") from None
    except OSError as fault:
        raise ProfileError(f"{origin}: cannot be read ({fault.strerror})") from None
    if not isinstance(data, dict):
        raise ProfileError(f"{origin}: wanted one JSON object with the profile's fields")
    _validate(data, origin)
    return data


def _laid_over(base: dict[str, Any], top: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(base)
    for key, value in top.items():
        below = merged.get(key)
        if isinstance(value, dict) and isinstance(below, dict):
            merged[key] = _laid_over(below, value)
        else:
            merged[key] = value
    return merged


def _override(data: dict[str, Any], path: str, value: object) -> None:
    *folders, last = path.split(".")
    for folder in folders:
        data[folder] = dict(data.get(folder) or {})
        data = data[folder]
    data[last] = value
