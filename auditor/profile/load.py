"""Profiles: load, extend and check the JSON in which a kind of bus states its limits.

A profile `extends` another and says only what differs. It comes from a trusted folder, never from
a workbook; the schema holds no remote references.
"""

import json
import math
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from auditor.calc.conductors import HIGHEST_DEGC, LOWEST_DEGC
from auditor.errors import ProfileError, json_fault_text
from auditor.profile.limits import Profile, profile_from
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
    if not overrides and name_or_file in shipped_names():
        return _shipped_profile(name_or_file)
    return _loaded(name_or_file, overrides or {})


@cache
def _shipped_profile(name: str) -> Profile:
    """A shipped profile as it is: most jobs of a batch are judged by the same one."""
    return _loaded(name, {})


def _loaded(name_or_file: str, overrides: Mapping[str, object]) -> Profile:
    data = _merged(name_or_file, Path(), ())
    for path, value in overrides.items():
        _override(data, path, value)
    origin = _origin(name_or_file, Path())[1]
    _validate(data, origin)
    missing = [path for path in _NEEDED if not _has(data, path)]
    if missing:
        raise ProfileError(f"{origin}: {missing[0]} is missing; add it or extend a shipped profile")
    profile = profile_from(data)
    if not LOWEST_DEGC <= profile.conductor_degc <= HIGHEST_DEGC:
        raise ProfileError(
            f"{origin}: conductor_temperature is {data['conductor_temperature']}; wanted "
            f"{LOWEST_DEGC:g} to {HIGHEST_DEGC:g} degC, what copper cable works in"
        )
    return profile


def side_profile(workbook: Path) -> Path | None:
    """`profile.json` in the workbook's folder or the nearest one above it."""
    for folder in workbook.resolve().parents:
        if (folder / SIDE_FILE).is_file():
            return folder / SIDE_FILE
    return None


_NEEDED = (
    "controller.ports",
    "controller.supply_voltage",
    "run",
    "loops",
    "cable",
    "off_spec_factor",
    "device.load",
    "conductor_temperature",
    "review_above",
    "cutting",
)


def _has(data: Mapping[str, Any], path: str) -> bool:
    first, _, rest = path.partition(".")
    return first in data and (not rest or _has(data[first], rest))


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
        missing = [name for name in problem.validator_value if name not in problem.instance]
        return f"lacks the field {', '.join(missing)}"
    return f"is {found}; wanted {hint or _plainly(problem)}"


def _plainly(problem: Any) -> str:
    """What a schema's keyword asks for, in words."""
    wanted = problem.validator_value
    if problem.validator == "enum":
        return "one of " + ", ".join(map(str, wanted))
    if problem.validator == "anyOf":
        return str(problem.context[0].schema.get("description", "another kind of value"))
    if problem.validator == "type":
        kinds = [wanted] if isinstance(wanted, str) else wanted
        return " or ".join(_KINDS.get(kind, kind) for kind in kinds)
    return f"{_BOUNDS.get(problem.validator, problem.validator)} {wanted}"


_KINDS = {
    "object": "an object with fields in {}",
    "array": "a list in []",
    "string": "text in quotes",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
}
_BOUNDS = {"minimum": "at least", "maximum": "at most", "exclusiveMinimum": "more than"}


def _origin(name_or_file: str, folder: Path, extended_by: str = "") -> tuple[Path, str]:
    if name_or_file in shipped_names():
        return shipped("schemas", f"{name_or_file}.json"), name_or_file
    path = (folder / name_or_file).resolve()
    try:
        there = path.is_file()
    except OSError:  # a name too long for a file
        there = False
    if there:
        return path, str(name_or_file)
    what = f"{extended_by}: extends {name_or_file!r}, which is no profile"
    raise ProfileError(
        f"{what if extended_by else f'no profile named {name_or_file!r}'}: the shipped ones are {', '.join(shipped_names())}, "
        "or give the path of a JSON file"
    )


def _merged(name_or_file: str, folder: Path, seen: tuple[Path, ...]) -> dict[str, Any]:
    path, origin = _origin(name_or_file, folder, seen[-1].name if seen else "")
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

    def finite(text: str) -> float:
        return float(text) if math.isfinite(float(text)) else refuse(text)

    try:
        data = json.loads(path.read_text("utf-8-sig"), parse_constant=refuse, parse_float=finite)
    except RecursionError:
        raise ProfileError(f"{origin}: this is no profile, it is nested too deeply") from None
    except json.JSONDecodeError as fault:
        raise ProfileError(f"{origin}: {json_fault_text(fault)}; correct it") from None
    except UnicodeDecodeError:
        raise ProfileError(f"{origin}: this is no JSON text; wanted UTF-8") from None
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
    if isinstance(value, float) and not math.isfinite(value):
        raise ProfileError(f"{path} is {value}; wanted a number")
    for folder in folders:
        below = data.get(folder, {})
        if not isinstance(below, dict | None):
            raise ProfileError(f"{path}: {folder} is no group of fields; give {folder} as a whole")
        data[folder] = dict(below or {})
        data = data[folder]
    data[last] = value
