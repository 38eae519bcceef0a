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
from auditor.schema_faults import first_fault

DEFAULT = "two-wire-35w"
SIDE_FILE = "profile.json"  # beside a workbook, or in a folder above it


def shipped_names() -> list[str]:
    return sorted(path.stem for path in shipped("schemas").glob("*.json") if ".schema" not in path.name)


def load_profile(
    name_or_file: str, overrides: Mapping[str, object] | None = None, *, called: str = ""
) -> Profile:
    """A profile by shipped name or by file, checked and in plain numbers.

    Parameters
    ----------
    name_or_file : a shipped profile's name, or the path of a JSON file
    overrides : field path -> value, e.g. {"run.cable": "1800 ft"}, laid over the profile
    called : what messages call the profile; empty: as it was named

    Raises
    ------
    ProfileError : names the file, the field and what would be right
    """
    if not overrides and name_or_file in shipped_names():
        return _shipped_profile(name_or_file)
    return _loaded(name_or_file, overrides or {}, called)


@cache
def _shipped_profile(name: str) -> Profile:
    """A shipped profile as it is: most jobs of a batch are judged by the same one."""
    return _loaded(name, {}, "")


def _loaded(name_or_file: str, overrides: Mapping[str, object], called: str) -> Profile:
    data = _merged(name_or_file, Path(), (), called)
    for path, value in overrides.items():
        _override(data, path, value)
    origin = called or str(name_or_file)
    _validate(data, origin)
    missing = [path for path in _NEEDED if not _has(data, path)]
    if missing:
        raise ProfileError(f"{missing[0]} is missing; add it or extend a shipped profile", origin)
    profile = profile_from(data)
    if not LOWEST_DEGC <= profile.conductor_degc <= HIGHEST_DEGC:
        raise ProfileError(
            f"conductor_temperature is {data['conductor_temperature']}; wanted "
            f"{LOWEST_DEGC:g} to {HIGHEST_DEGC:g} degC, what copper cable works in",
            origin,
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


def _validate(data: Mapping[str, Any], origin: str) -> None:
    fault = first_fault("profile.schema.json", data)
    if fault is not None:
        place = ".".join(map(str, fault.path)) or "the profile"
        raise ProfileError(f"{place}: {fault.sentence}", origin)


def _profile_path(name_or_file: str, folder: Path, extended_by: str = "") -> Path:
    """The file of a profile that is named on the command line or extended by another."""
    if name_or_file in shipped_names():
        return shipped("schemas", f"{name_or_file}.json")
    path = (folder / name_or_file).resolve()
    try:
        there = path.is_file()
    except OSError:  # a name too long for a file
        there = False
    if there:
        return path
    extends = f"extends {name_or_file!r}, which is no profile"
    raise ProfileError(
        f"{extends if extended_by else f'no profile named {name_or_file!r}'}: the shipped ones are "
        f"{', '.join(shipped_names())}, or give the path of a JSON file",
        extended_by,
    )


def _merged(name_or_file: str, folder: Path, seen: tuple[Path, ...], called: str = "") -> dict[str, Any]:
    """A profile's data laid over that of the one it extends; `seen` are those that extend it."""
    path = _profile_path(name_or_file, folder, seen[-1].name if seen else "")
    origin = called or str(name_or_file)
    if path in seen:
        raise ProfileError(f"extends itself by way of {seen[-1].name}", origin)
    data = _read(path, origin)
    base = data.pop("extends", None)
    if base is None:
        return data
    return _laid_over(_merged(base, path.parent, (*seen, path)), data)


def _read(path: Path, origin: str) -> dict[str, Any]:
    def refuse(constant: str) -> float:
        raise ProfileError(f"{constant} is no number", origin)

    def finite(text: str) -> float:
        return float(text) if math.isfinite(float(text)) else refuse(text)

    try:
        data = json.loads(path.read_text("utf-8-sig"), parse_constant=refuse, parse_float=finite)
    except RecursionError:
        raise ProfileError("this is no profile, it is nested too deeply", origin) from None
    except json.JSONDecodeError as fault:
        raise ProfileError(f"{json_fault_text(fault)}; correct it", origin) from None
    except UnicodeDecodeError:
        raise ProfileError("this is no JSON text; wanted UTF-8", origin) from None
    except OSError as fault:
        raise ProfileError(f"cannot be read ({fault.strerror})", origin) from None
    if not isinstance(data, dict):
        raise ProfileError("wanted one JSON object with the profile's fields", origin)
    _validate(data, origin)
    return data


def _laid_over(base: dict[str, Any], top: Mapping[str, Any]) -> dict[str, Any]:
    """The base's fields, changed to the top's where it has them, group by group."""
    merged = dict(base)
    for key, value in top.items():
        below = merged.get(key)
        if isinstance(value, dict) and isinstance(below, dict):
            merged[key] = _laid_over(below, value)
        else:
            merged[key] = value
    return merged


def _override(data: dict[str, Any], path: str, value: object) -> None:
    """Change one field, by its path, to another value."""
    *folders, last = path.split(".")
    if isinstance(value, float) and not math.isfinite(value):
        raise ProfileError(f"{path}: wanted a number, not {value}")
    for folder in folders:
        below = data.get(folder, {})
        if not isinstance(below, dict | None):
            raise ProfileError(f"{path}: {folder} is no group of fields; give {folder} as a whole")
        data[folder] = dict(below or {})
        data = data[folder]
    data[last] = value
