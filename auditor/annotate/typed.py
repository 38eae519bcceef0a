"""What people typed on our sheets, over our columns and beside them, each with the subject of its row.

A cell beyond what we wrote is theirs in any program. Inside, what stands there is theirs when it is none of
those values that the copy remembers. Where it remembers nothing, there is only the column itself to compare
with: among verdicts or figures, another text is theirs.
"""

import json
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from auditor.annotate.answers import NOTHING_TYPED, TypedCells
from auditor.annotate.our_columns import Ours, sheet_part, titles, written_areas
from auditor.annotate.remembered import Known, Value, known, print_of
from auditor.annotate.sheet_settings import VERDICTS
from auditor.job.remarks import REMARKS_HEADING, SUBJECTS, TICK_HEADING
from auditor.ooxml.notes import notes_of
from auditor.ooxml.refs import Area, letters
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Row
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart

Subject = tuple[str, ...]  # headings, the texts under them, and which row of those that have the same ones


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A cell that somebody typed, and of what it speaks."""

    sheet: str  # where it stood
    row: int
    column: int
    value: Value
    title: str = (
        ""  # fingerprint of the first cell of a sheet of ours; empty: it stands beside a table of theirs
    )
    subject: Subject = ()  # of the row of a sheet of ours; empty: the row has none
    heading: str = ""  # over it
    right: int = 0  # columns right of what we wrote
    below: int = 0  # rows below it
    held: Mapping[str, str] = field(default_factory=dict, compare=False)  # heading -> text of their row
    stays: bool = False  # right of our columns: it stands in a cell of theirs

    @property
    def place(self) -> str:
        return f"'{self.sheet}'!{letters(self.column)}{self.row}"

    @property
    def text(self) -> str:
        return f"{self.value:.15g}" if isinstance(self.value, float) else self.value

    @property
    def is_moved(self) -> bool:
        """Whether it stood where ours stands again."""
        inside = not self.stays and not self.right and not self.below
        return inside and self.heading not in (TICK_HEADING, REMARKS_HEADING)

    def is_again(self, other: "Remark") -> bool:
        """Whether both say the same of the same."""
        same = self.value == other.value and (self.title or self.sheet) == (other.title or other.sheet)
        return same and self.subject == other.subject and self.held == other.held


def remarks_of(book: WorkbookPart, ours: Ours, asked: TypedCells = NOTHING_TYPED) -> tuple[Remark, ...]:
    """All that was typed, in the order in which it stands.

    Parameters
    ----------
    asked : answers and acceptances, which are taken over by themselves
    """
    texts, memory = Texts(book), known(book)
    found: list[Remark] = []
    written, first = written_areas(book), titles(book)
    for sheet in book.sheets:
        name = sheet.name.casefold()
        if name in ours.sheets and (part := sheet_part(book, sheet.name)):
            where = next(([each[name]] for each in (written, asked.sheets) if name in each), [])
            taken = {(row, column) for other, row, column in asked.places if other == name}
            page = OurPage(part, texts, where, memory, taken)
            found += page.remarks(sheet.name, first.get(name, ""))
            notes = notes_of(book.package, sheet.part)
            new = [note for note in notes if print_of(note[2]) not in memory.texts]
            found += page.noted(sheet.name, first.get(name, ""), new)
    for name, areas in ours.columns.items():
        found += _beside(book, texts, name, areas, memory)
    return tuple(found)


def together(own: Iterable[Remark], others: Iterable[Remark]) -> tuple[Remark, ...]:
    """What two copies hold, what both say once."""
    found = list(own)
    found += [each for each in others if not any(each.is_again(one) for one in found)]
    return tuple(found)


def typed_text(remarks: Iterable[Remark]) -> str:
    """The cells with what stands in them."""
    return ", ".join(f"{each.place} «{each.text}»" for each in remarks)


class OurPage:
    """A sheet of ours: which rows speak of what, and what was typed on it.

    Parameters
    ----------
    where : the parts of it that we wrote on
    taken : row and column of cells that are no remarks
    """

    def __init__(
        self, part: SheetPart, texts: Texts, where: Sequence[Area], memory: Known,
        taken: Collection[tuple[int, int]] = (),
    ) -> None:  # fmt: skip
        self.part = part
        self.bottom = max((each.bottom for each in where), default=0)
        self.last_column = max((each.right for each in where), default=0)
        self.subjects: dict[int, Subject] = {}  # row -> of what it speaks
        self.headings: dict[int, Mapping[int, str]] = {}  # row -> column -> heading over it
        self._typed: list[tuple[int, int, Value]] = []
        self._taken = taken
        self._read(texts, memory)

    @property
    def rows(self) -> dict[Subject, int]:
        return {subject: row for row, subject in self.subjects.items()}

    def remarks(self, sheet: str, title: str) -> Iterator[Remark]:
        yield from (self._remark(sheet, title, *each) for each in self._typed)

    def noted(self, sheet: str, title: str, notes: Iterable[tuple[int, int, str]]) -> Iterator[Remark]:
        """The notes on its cells, as remarks beside them."""
        yield from (self._remark(sheet, title, *each) for each in notes)

    def _remark(self, sheet: str, title: str, row: int, column: int, value: Value) -> Remark:
        return Remark(
            sheet=sheet, row=row, column=column, value=value, title=title,
            subject=self.subjects.get(row, ()),
            heading=self.headings.get(row, {}).get(column, "") if column <= self.last_column else "",
            right=max(0, column - self.last_column),
            below=max(0, row - self.bottom),
        )  # fmt: skip

    def _read(self, texts: Texts, memory: Known) -> None:
        names: Sequence[str] = ()
        headings: Mapping[int, str] = {}
        seen: Counter[Subject] = Counter()
        for row in self.part.rows:
            values = dict(values_of(self.part, texts, row))
            tick = _tick_column(names, headings, values)
            theirs = {
                column
                for column, value in values.items()
                if column == tick or self._is_theirs(row.number, column, value, memory)
            }
            self._typed += ((row.number, column, values[column]) for column in sorted(theirs))
            held = {
                column: " ".join(value.split())
                for column, value in values.items()
                if column not in theirs and isinstance(value, str) and value.strip()
            }
            if found := next((each for each in SUBJECTS if set(each) <= set(held.values())), None):
                names, headings = found, held
            if subject := _subject(names, headings, held):
                seen[subject] += 1
                self.subjects[row.number] = (*subject, str(seen[subject]))
                self.headings[row.number] = headings

    def _is_theirs(self, row: int, column: int, value: Value, memory: Known) -> bool:
        if (row, column) in self._taken:
            return False
        if column > self.last_column:
            return True
        if row > self.bottom:  # a library that inserts rows leaves our names as they were
            return not memory.texts or not memory.is_ours(value)
        return not (isinstance(value, str) and value.startswith("=")) and not memory.is_ours(value)


def _tick_column(
    names: Sequence[str], headings: Mapping[int, str], values: Mapping[int, Value]
) -> int | None:
    """The column of the box in a row that names its subject: we leave it empty."""
    named = names and all(column_of(name, headings) in values for name in names)
    is_heading = TICK_HEADING in values.values()
    return column_of(TICK_HEADING, headings) if named and not is_heading else None


def column_of(heading: str, headings: Mapping[int, str]) -> int | None:
    return next((column for column, text in headings.items() if text == heading), None)


def _subject(names: Sequence[str], headings: Mapping[int, str], held: Mapping[int, str]) -> Subject:
    """Of what a row speaks: what stands under the headings that name it, else its first text."""
    under = [_id_in(held.get(column_of(name, headings) or 0, "")) for name in names]
    if under and all(under):
        return (*names, *under)
    return ("", held[min(held)]) if held else ()


def _id_in(text: str) -> str:
    """A text, of a record its id."""
    try:
        record = json.loads(text) if text.startswith("{") else {}
        return str(record.get("finding") or record.get("id") or text)
    except (ValueError, AttributeError, RecursionError):
        return text


def values_of(part: SheetPart, texts: Texts, row: Row) -> Iterator[tuple[int, Value]]:
    """Column and value of the cells of a row that hold something; of a formula its text."""
    for cell in part.cells(row):
        if cell.valued:
            value = texts.value(part, cell)
            if value != "":
                yield cell.column, value


def _beside(
    book: WorkbookPart, texts: Texts, name: str, areas: Sequence[Area], memory: Known
) -> Iterator[Remark]:
    """What stands over our columns and right of them, in the rows of their table."""
    part = sheet_part(book, name, max((each.bottom for each in areas), default=0))
    sheet = book.sheet(name)
    if part is None or sheet is None:
        return
    values = {row.number: dict(values_of(part, texts, row)) for row in part.rows}
    for top, bottom in dict.fromkeys((each.top, each.bottom) for each in areas):
        rows = {number: values[number] for number in values if top <= number <= bottom}
        there = [each for each in areas if each.top <= bottom and top <= each.bottom]
        own = [each.left for each in there if (each.top, each.bottom) == (top, bottom)]
        yield from _of_table(sheet.name, rows, own, max(each.left for each in there), memory)


def _of_table(
    sheet: str, rows: Mapping[int, Mapping[int, Value]], ours: Sequence[int], right: int, memory: Known
) -> Iterator[Remark]:
    """`rows`: from the headings on, column -> value; `right`: the last column of ours in them."""
    top = min(rows, default=0)
    headings = {column: str(value).strip() for column, value in rows.get(top, {}).items()}
    odd = frozenset() if memory.texts else frozenset(_odd(rows, top, ours))
    for number, values in rows.items():
        held = {
            headings[column]: shown(value)
            for column, value in values.items()
            if column in headings and column < right and column not in ours
        }
        for column, value in values.items() if number > top else ():
            heading = headings.get(column, "") if column in ours else ""
            over = column in ours and (
                heading == REMARKS_HEADING or (number, column) in odd or not memory.is_ours(value)
            )
            if over or column > right:
                yield Remark(
                    sheet=sheet,
                    row=number,
                    column=column,
                    value=value,
                    heading=heading,
                    held=held,
                    stays=not over,
                )


def _odd(
    rows: Mapping[int, Mapping[int, Value]], top: int, columns: Sequence[int]
) -> Iterator[tuple[int, int]]:
    """Texts that are no verdict, in columns of which most cells hold verdicts or figures."""
    for column in columns:
        found = {
            number: values[column] for number, values in rows.items() if number > top and column in values
        }
        theirs = [
            number
            for number, value in found.items()
            if isinstance(value, str) and value.strip() not in {"", *VERDICTS}
        ]
        if 2 * len(theirs) < len(found):
            yield from ((number, column) for number in theirs)


def shown(value: Value) -> str:
    """A value as text, to compare it with that of another copy."""
    return f"{value:.9g}" if isinstance(value, float) else " ".join(value.split())
