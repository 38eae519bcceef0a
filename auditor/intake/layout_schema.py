"""What a layout file's record lacks under `schemas/layout.schema.json`, with its place in the workbook."""

from collections.abc import Iterable
from typing import Any

from auditor.schema_faults import first_fault

_NAMES = {"tables": "sheet", "columns": "column"}  # list of records -> the field that names each


def layout_fault_text(record: Any) -> str:
    """The first thing that is not as a layout is written: its place and what is wanted there; else nothing."""
    fault = first_fault("layout.schema.json", record)
    return "" if fault is None else f"{_place_text(record, fault.path)}: {fault.sentence}"


def _place_text(record: Any, path: Iterable[str | int]) -> str:
    """`sheet 'Pulls', column E, field`; entries that have no such name are counted from 1."""
    parts: list[str] = []
    here = record
    for step in path:
        here = here[step]
        if isinstance(step, int):
            parts.append(_entry_text(parts.pop() if parts else "entry", step, here))
        else:
            parts.append(step)
    return ", ".join(parts) or "the file"


def _entry_text(listed: str, place: int, entry: Any) -> str:
    """`sheet 'Pulls'`, or `tables, number 2` where the entry has no name."""
    word = _NAMES.get(listed, listed)
    name = entry.get(word) if isinstance(entry, dict) else None
    if not isinstance(name, str):
        return f"{listed}, number {place + 1}"
    return f"{word} {name[:60]!r}" if listed == "tables" else f"{word} {name[:60]}"
