"""The title block: which job a workbook is of, by whom, of which revision and date."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import shown, words
from auditor.intake.words import is_known, label
from auditor.job.model import TitleBlock, natural_key

FIELDS: Mapping[str, str] = {  # what a label names -> the field of a title block
    "job_number": "number",
    "office": "office",
    "drawn_by": "drawn_by",
    "checked_by": "checked_by",
    "revision": "revision",
    "date": "dated",
    "sheet_status": "status",
}
MOST_LETTERS = 80  # of what stands in a title block; more is a sentence
_PARTS = re.compile(r"\s*[|;,–—·()]\s*|\s+-\s+")
_REVISION = re.compile(r"[A-Z]{0,2}\d{0,3}", re.IGNORECASE)
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_NUMBERS = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})")
_MONTH_NAMED = ("%d %B %Y", "%d %b %Y", "%B %d %Y", "%b %d %Y")


def title_block(stated: Mapping[str, Value], blocks: Iterable[TableBlock]) -> TitleBlock:
    """What is labelled, and the newest entry of a list of revisions where no label says the revision.

    Parameters
    ----------
    stated : field of a title block -> the cell beside its label
    blocks : tables that are none of the job's
    """
    newest = newest_revision(blocks) if "revision" not in stated else {}
    values = {**newest, **stated}
    texts = {name: text for name, value in values.items() if (text := words(value))}
    return replace(TitleBlock(**texts), date=iso_date(values["dated"]) if "dated" in values else None)


def may_state(name: str, text: str) -> bool:
    """Whether a text beside a label can be what it labels: no sentence, no other label, no heading of a list."""
    if _REVISION.fullmatch(text):
        return name != "dated"
    if len(text) > MOST_LETTERS or label(text):
        return False
    if name == "dated":
        return any(map(str.isdigit, text))
    return name == "status" or not is_known(text)


def in_title(text: str) -> dict[str, Value]:
    """What a title says by the way: `Riverside library, cable pulls - Rev C - 2026-03-01`."""
    found: dict[str, Value] = {}
    for part in _PARTS.split(text):
        name, _, value = part.rpartition(" ")
        if any(field == "revision" for field, _ in label(name)) and _REVISION.fullmatch(value):
            found.setdefault("revision", value)
        elif iso_date(part) is not None:
            found.setdefault("dated", part)
    return found


def newest_revision(blocks: Iterable[TableBlock]) -> Mapping[str, Value]:
    """Revision and date of the newest row of the first list of revisions: the latest date, else the highest name."""
    for block in blocks:
        columns = {names[0][0]: column for column, text in block.headers.items() if (names := label(text))}
        if {"revision", "date"} <= columns.keys():
            rows = [row for row in _rows(block, columns) if row.get("revision", "") != ""]
            if rows:
                return max(rows, key=_age)
    return {}


def _rows(block: TableBlock, columns: Mapping[str, int]) -> Iterator[dict[str, Value]]:
    for row in range(block.first_row, block.last_row + 1):
        cells = dict(enumerate(block.sheet.rows[row - 1], 1))
        found = {"revision": cells.get(columns["revision"], ""), "dated": cells.get(columns["date"], "")}
        yield {name: value for name, value in found.items() if words(value)}


def _age(row: Mapping[str, Value]) -> tuple[str, tuple[tuple[int, int | str], ...]]:
    return iso_date(row.get("dated", "")) or "", natural_key(words(row["revision"]))


def iso_date(value: Value) -> str | None:
    """A date as ISO 8601 has it; None: it is none, or day and month could be changed about (`03/04/2026`)."""
    if isinstance(value, date):
        return (value.date() if isinstance(value, datetime) else value).isoformat()
    text = shown(value).strip().replace(",", " ")
    text = " ".join(text.split())
    found = _of_numbers(text)
    return found if found is not None else _of_month_name(text)


def _of_numbers(text: str) -> str | None:
    if iso := _ISO.fullmatch(text):
        return _iso(int(iso[1]), int(iso[2]), int(iso[3]))
    if match := _NUMBERS.fullmatch(text):
        first, second, year = int(match[1]), int(match[3]), int(match[4])
        if match[2] == "." or first > 12 or first == second:  # with points the day comes first
            return _iso(year, second, first)
        if second > 12:
            return _iso(year, first, second)
    return None


def _of_month_name(text: str) -> str | None:
    for form in _MONTH_NAMED:
        try:
            return datetime.strptime(text, form).date().isoformat()
        except ValueError:
            continue
    return None


def _iso(year: int, month: int, day: int) -> str | None:
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return None
