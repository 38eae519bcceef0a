"""Which columns and sheets of an annotated workbook are ours.

Hidden defined names say so. Spreadsheet programs move them along, libraries do not: once a workbook
was edited, a name is believed only where the heading (of a sheet, its first cell) is still the one
whose fingerprint the name holds. What was moved without its names is looked for by its headings, and
what is in doubt is the estimator's.
"""

import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from auditor.annotate.columns import AddedColumns
from auditor.annotate.sheet_settings import VERDICTS
from auditor.job.checksums import checksum
from auditor.ooxml.refs import LAST_ROW, Area, letters, sheet_areas
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart

OUR_NAMES = "_auditor."  # our hidden defined names begin so
_COLUMN = re.compile(r"_auditor\.column\.(\d+)\.(\d+)\.([0-9a-f]{8})")
_SHEET = re.compile(r"_auditor\.sheet\.\d+\.([0-9a-f]{8})")
_SOURCE = re.compile(r"_auditor\.source\.([0-9a-f]{32})(?:\.(saved|typed))?")
_SEARCHED = 1000  # rows in which headings that lost their names are looked for; project convention


@dataclass(frozen=True, slots=True)
class Ours:
    """What is ours, and what only looks like it."""

    sheets: frozenset[str]  # names, case folded
    columns: Mapping[str, Sequence[Area]]  # sheet -> one area a column
    groups: Mapping[tuple[str, str], Area]  # sheet and number of the table -> area of all its columns
    marked: Mapping[str, Sequence[Area]]  # sheet -> areas as the names have them, moved along or not
    kept: tuple[str, ...] = ()  # one sentence for each column or sheet that is in doubt


class Work(StrEnum):
    """What somebody did in an earlier copy, on which a copy is built."""

    NONE = ""
    SAVED = "saved"  # nothing but answers and the like was typed: the tables and notes are the workbook's
    TYPED = "typed"


@dataclass(frozen=True, slots=True)
class MadeFrom:
    """The workbook that a copy was made from, by its fingerprint (or its file's SHA-256), of which half is kept."""

    digest: str
    work: Work = Work.NONE

    def is_one(self, digest: str) -> bool:
        return digest.startswith(self.digest[:32])


@dataclass(frozen=True, slots=True)
class _Named:
    """A column as its hidden name has it."""

    group: str
    number: int
    heading: str  # fingerprint
    area: Area


def name_of_column(group: int, column: int, heading: str) -> str:
    return f"{OUR_NAMES}column.{group}.{column}.{fingerprint(heading)}"


def name_of_sheet(number: int, first_cell: str) -> str:
    return f"{OUR_NAMES}sheet.{number}.{fingerprint(first_cell)}"


def name_of_source(source: MadeFrom) -> str:
    return f"{OUR_NAMES}source.{source.digest[:32]}{f'.{source.work}' * bool(source.work)}"


def made_from(book: WorkbookPart) -> MadeFrom | None:
    """The file that an annotated copy was made from; None: it does not say."""
    found = next((match for name in book.names if (match := _SOURCE.fullmatch(name.name))), None)
    return MadeFrom(found[1], Work(found[2] or "")) if found else None


def fingerprint(text: str) -> str:
    """Of a text's letters and digits: spaces and escapes are written anew by every program."""
    kept = "".join(filter(str.isalnum, text)).casefold()
    return checksum(kept)


def named(book: WorkbookPart) -> Ours:
    """What the hidden names say: enough for a copy in which nothing was edited."""
    marked = _named_columns(book)
    return _ours((name for name, _ in _named_sheets(book)), marked, marked)


def recognised(book: WorkbookPart, questions: Collection[str] = ()) -> Ours:
    """What the hidden names say and the cells confirm.

    Parameters
    ----------
    questions : names, case folded, of the sheets that are known by their records
    """
    texts, kept = Texts(book), []
    sheets, columns = [sheet.name for sheet in book.sheets if sheet.name.casefold() in questions], {}
    for name, first_cell in _named_sheets(book):
        if name.casefold() in questions or (part := sheet_part(book, name, 1)) is None:
            continue
        if fingerprint(texts.at(part, 1, 1)) == first_cell:
            sheets.append(name)
        else:
            kept.append(f"The sheet '{name}' does not begin as an added one does any more, so it was kept.")
    marked = _named_columns(book)
    for name, found in marked.items():
        if name in sheets or (part := sheet_part(book, name)) is None:
            continue
        columns[name] = list(_confirmed(part, texts, found))
        ours = {(each.group, each.number) for each in columns[name]}
        kept += [
            f"Column {letters(each.area.left)} of '{name}' stands where an added one stood, but it is not "
            "certain that it is that one, so it was kept; delete it if nobody needs it."
            for each in found
            if (each.group, each.number) not in ours
        ]
    return _ours(sheets, columns, marked, kept)


def sheet_part(book: WorkbookPart, name: str, last_row: int = LAST_ROW) -> SheetPart | None:
    """A sheet by its name; None where it or its part is not there."""
    sheet = book.sheet(name)
    if sheet is None or sheet.part not in book.package.members:
        return None
    return SheetPart(book.package.read(sheet.part), sheet.part, last_row)


def former_places(
    sheet: str, group: Sequence[AddedColumns], groups: Mapping[tuple[str, str], Area]
) -> dict[int, int]:
    """Index in `group` -> the first column where an earlier annotation of that table stands."""
    left = sorted((area.left, area.top) for (name, _), area in groups.items() if name == sheet)
    found: dict[int, int] = {}
    for index in sorted(range(len(group)), key=lambda index: group[index].table.first_column):
        table = group[index].table
        rows = range(table.header_row, table.last_row + 1)
        match = next((each for each in left if each[1] in rows and each[0] > table.last_column), None)
        if match is not None:
            found[index] = match[0]
            left.remove(match)
    return found


def _ours(
    sheets: Iterable[str],
    columns: Mapping[str, list[_Named]],
    marked: Mapping[str, list[_Named]],
    kept: Sequence[str] = (),
) -> Ours:
    groups: dict[tuple[str, str], Area] = {}
    for sheet, found in columns.items():
        for each in found:
            known, where = groups.get((sheet, each.group), each.area), each.area
            groups[sheet, each.group] = Area(
                min(known.top, where.top),
                min(known.left, where.left),
                max(known.bottom, where.bottom),
                max(known.right, where.right),
            )
    return Ours(frozenset(map(str.casefold, sheets)), _areas(columns), groups, _areas(marked), tuple(kept))


def _areas(columns: Mapping[str, list[_Named]]) -> dict[str, list[Area]]:
    return {sheet: [each.area for each in found] for sheet, found in columns.items()}


def written_areas(book: WorkbookPart) -> dict[str, Area]:
    """Sheet of ours, its name case folded -> the part of it that we wrote on."""
    found: dict[str, Area] = {}
    for name in book.names:
        if _SHEET.fullmatch(name.name):
            found |= {sheet.casefold(): where for sheet, where in sheet_areas(name.text)}
    return found


def titles(book: WorkbookPart) -> dict[str, str]:
    """Sheet of ours, its name case folded -> the fingerprint of its first cell."""
    return {name.casefold(): first_cell for name, first_cell in _named_sheets(book)}


def _named_sheets(book: WorkbookPart) -> Iterator[tuple[str, str]]:
    """Sheet, fingerprint of its first cell."""
    for name in book.names:
        if match := _SHEET.fullmatch(name.name):
            yield from ((sheet, match[1]) for sheet, _ in sheet_areas(name.text))


def _named_columns(book: WorkbookPart) -> dict[str, list[_Named]]:
    found: dict[str, list[_Named]] = {}
    for name in book.names:
        if match := _COLUMN.fullmatch(name.name):
            for sheet, where in sheet_areas(name.text):
                found.setdefault(sheet, []).append(_Named(match[1], int(match[2]), match[3], where))
    return found


def _confirmed(sheet: SheetPart, texts: Texts, found: Sequence[_Named]) -> Iterator[_Named]:
    """The columns whose headings stand under their names or, all of them, in another row or place."""
    for alike in _alike(found):
        standing = _Standing(sheet, texts, [each.heading for each in alike[0]])
        settled = {id(group): standing.confirmed(group) for group in alike}
        astray = [group for group in alike if settled[id(group)] != group]
        taken = [each for group in alike if group not in astray for each in group]
        places = standing.elsewhere(taken) if astray else []
        if len(places) == len(astray):  # else nobody can tell which is which
            for group, (row, lefts) in zip(astray, places, strict=True):
                settled[id(group)] = [_at(each, row, left) for each, left in zip(group, lefts, strict=True)]
        for group in alike:
            found_again = settled[id(group)]
            yield from _with_its_rows(sheet, texts, found_again)
            yield from (each for each in group if each not in found_again and _is_empty(sheet, each.area))


def _alike(found: Sequence[_Named]) -> Iterable[list[list[_Named]]]:
    """Tables' columns; tables with the same headings together, each lot from top to bottom."""
    groups: dict[str, list[_Named]] = {}
    for each in sorted(found, key=lambda each: each.number):
        groups.setdefault(each.group, []).append(each)
    lots: dict[tuple[str, ...], list[list[_Named]]] = {}
    for group in sorted(groups.values(), key=lambda group: (group[0].area.top, group[0].area.left)):
        lots.setdefault(tuple(each.heading for each in group), []).append(group)
    return lots.values()


class _Standing:
    """Where the headings of a table's columns stand in a sheet."""

    def __init__(self, sheet: SheetPart, texts: Texts, headings: Sequence[str]) -> None:
        self.sheet, self.texts, self.headings = sheet, texts, headings
        self._rows: dict[int, dict[int, str]] = {}

    def row(self, number: int) -> dict[int, str]:
        """Column -> fingerprint of its text."""
        if number not in self._rows:
            row = self.sheet.by_number.get(number)
            held = self.texts.row(self.sheet, row) if row else {}
            self._rows[number] = {column: fingerprint(text) for column, text in held.items() if text.strip()}
        return self._rows[number]

    def confirmed(self, group: Sequence[_Named]) -> list[_Named]:
        """Those whose heading stands under their name, and not once more in the cells beside them:
        of two alike nobody can tell which is ours."""
        left, right = min(e.area.left for e in group), max(e.area.right for e in group)
        return [
            each
            for each in group
            if self.row(each.area.top).get(each.area.left) == each.heading
            and self._beside(each.area.top, left, right).count(each.heading) == 1
        ]

    def elsewhere(self, taken: Sequence[_Named]) -> list[tuple[int, list[int]]]:
        """Rows and columns where all the headings stand in order, each once."""
        used = {(each.area.top, each.area.left) for each in taken}
        found = []
        for row in self.sheet.rows:
            if row.number > _SEARCHED:
                break
            for lefts in self._in_row(row.number):
                beside = self._beside(row.number, lefts[0], lefts[-1])
                once = all(beside.count(heading) == 1 for heading in self.headings)
                if once and (row.number, lefts[0]) not in used:
                    found.append((row.number, lefts))
        return found

    def _in_row(self, number: int) -> Iterator[list[int]]:
        lefts: list[int] = []
        for column, text in sorted(self.row(number).items()):
            if text == self.headings[len(lefts)]:
                lefts.append(column)
            if len(lefts) == len(self.headings):
                yield lefts
                lefts = []

    def _beside(self, number: int, left: int, right: int) -> list[str]:
        """The headings between two columns, and those that follow without a gap."""
        row = self.row(number)
        while right + 1 in row:
            right += 1
        return [text for column, text in row.items() if left <= column <= right]


def _is_empty(sheet: SheetPart, where: Area) -> bool:
    rows = [row for row in sheet.rows if where.top <= row.number <= where.bottom]
    return not any(cell.valued and cell.column == where.left for row in rows for cell in sheet.cells(row))


def _at(each: _Named, row: int, left: int) -> _Named:
    return replace(each, area=Area(row, left, row + each.area.bottom - each.area.top, left))


def _with_its_rows(sheet: SheetPart, texts: Texts, group: Sequence[_Named]) -> Iterator[_Named]:
    """The columns down to the last row that is the table's: rows may have been inserted or deleted
    by a program that left our names as they were."""
    lefts = [each.area.left for each in group]
    if not lefts:
        return
    top, bottom = group[0].area.top, max(each.area.bottom for each in group)

    def held(number: int) -> dict[int, str]:
        return texts.row(sheet, sheet.by_number[number])

    def judged(there: Mapping[int, str]) -> bool:
        return any(there.get(left) in VERDICTS for left in lefts)

    rows = sorted(number for number in sheet.by_number if number > top)
    named, bottom = bottom, top
    for number in reversed(rows[: bisect_right(rows, named)]):
        there = held(number)
        if judged(there) or any(column < min(lefts) for column in there):
            bottom = number
            break
    for number in rows[bisect_right(rows, bottom) :]:
        there = held(number)
        if there and not judged(there):
            break
        bottom = number if there else bottom
    for each in group:
        yield replace(each, area=Area(top, each.area.left, bottom, each.area.left))
