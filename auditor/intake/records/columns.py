"""One table's columns, each read as its field, every value with its cell."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, time, timedelta
from typing import TypeVar

from auditor.intake.formats.cells import Fault, Value
from auditor.intake.grammar.numbers import UNKNOWN, UnreadableError, plain, separators
from auditor.intake.grammar.values import Context, shown, words
from auditor.intake.roles.evidence import NUMERIC
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.rows.given import Given
from auditor.intake.said import NO_ANSWERS, Answers, asked, choices, chosen, to_decide, untried
from auditor.intake.words import fold, word_list
from auditor.job.model import CellRef, Question, Remark, Unread

T = TypeVar("T")

MOST_ASKED = 5  # cells of one column and one kind; more are one question
MAX_QUOTED = 200  # characters of a cell that a message quotes
_SHORT_AFTER_COMMA = re.compile(r"(?<![\d.,])\d+,\d{1,2}(?![\d.,])")
NAMES = frozenset({"id", "tag", "near", "far", "cable", "name", "head_end"})


class RowCells(Mapping[str, CellRef]):
    """field -> cell of one row, made when it is asked for: most rows are never asked."""

    __slots__ = ("_columns", "_row", "_sheet")

    def __init__(self, sheet: str, row: int, columns: Mapping[str, int]) -> None:
        self._sheet, self._row, self._columns = sheet, row, columns

    def __getitem__(self, name: str) -> CellRef:
        return CellRef(self._sheet, self._row, self._columns[name])

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    def __repr__(self) -> str:
        return repr(dict(self))


class Columns:
    """The records of one table, column by column.

    Parameters
    ----------
    rows : the row of each record; a row that holds several records stands there as often
    given : field -> its values where a record's do not simply stand in the field's column
    homes : the controller that each record's context names; None: no record's does
    """

    def __init__(
        self,
        table: FoundTable,
        rows: Sequence[int],
        decimal_comma: bool | None,
        *,
        settled: bool = False,
        given: Mapping[str, Given] | None = None,
        homes: Sequence[str | None] | None = None,
        answers: Answers = NO_ANSWERS,
    ) -> None:
        self.answers = answers
        self.given = dict(given or {})
        self.homes = homes
        self.table = table
        self.rows = rows
        self.sheet = table.sheet.name
        self.unread: dict[int, list[Unread]] = defaultdict(list)  # index of the row -> its unread cells
        self.said: list[tuple[ColumnUse, str]] = []  # how a whole column was read, where that is to be said
        self.nominal: set[str] = set()  # fields whose currents are taken at the nominal voltage
        self.remarks: list[Remark] = []  # what is to be said of single cells
        self._decimal_comma = decimal_comma
        self._settled = settled  # a person says so of this file's numbers
        self._uses = table.understood.columns
        self._texts: dict[str, list[str | None]] = {}
        self._cells = [table.sheet.rows[row - 1] for row in rows]
        self._narrowest = min(map(len, self._cells), default=0)

    def __contains__(self, name: str) -> bool:
        return name in self._uses or name in self.given

    def again(self) -> "Columns":
        """The same columns, of which nothing is said or noted here."""
        return Columns(
            self.table,
            self.rows,
            self._decimal_comma,
            settled=self._settled,
            given=self.given,
            homes=self.homes,
            answers=self.answers,
        )

    def read_as(self, column: str, name: str) -> None:
        """Reads a column as another field than its own."""
        self._uses = {**self._uses, name: self._uses[column]}
        if column in self.given:
            self.given[name] = self.given[column]

    def use(self, name: str) -> ColumnUse:
        """How a field's column was understood; values that no column holds stand for their rows' first cells."""
        return self._uses.get(name) or ColumnUse(name, self.table.first_column, "")

    def raw(self, name: str) -> list[Value]:
        """The column's values as they stand; blanks where there is no such column."""
        if name in self.given:
            return self.given[name].values
        if name not in self._uses:
            return [""] * len(self.rows)
        at = self._uses[name].column - 1
        if at < self._narrowest:
            return [cells[at] for cells in self._cells]
        return [cells[at] if at < len(cells) else "" for cells in self._cells]

    def where(self, index: int, name: str) -> CellRef:
        given = self.given.get(name)
        column = given.columns[index] if given and given.columns else self.use(name).column
        return CellRef(self.sheet, self.rows[index], column)

    def home(self, index: int) -> str | None:
        """The controller that a record's context names."""
        return self.homes[index] if self.homes is not None else None

    def places(self, name: str) -> list[CellRef]:
        """The cell of one field in each row."""
        if (given := self.given.get(name)) is not None and given.columns:
            return [self.where(index, name) for index in range(len(self.rows))]
        sheet, column = self.sheet, self.use(name).column
        return [CellRef(sheet, row, column) for row in self.rows]

    def cells(self, names: Sequence[str]) -> list[RowCells]:
        """For each row the cells of its fields."""
        columns = {name: self._uses[name].column for name in names if name in self._uses}
        moved = {n: g.columns for n in names if (g := self.given.get(n)) is not None and g.columns}
        if not moved:
            return [RowCells(self.sheet, row, columns) for row in self.rows]
        return [
            RowCells(self.sheet, row, {**columns, **{name: at[index] for name, at in moved.items()}})
            for index, row in enumerate(self.rows)
        ]

    def texts(self, name: str) -> list[str | None]:
        """A text column; None where the cell is blank or holds an error."""
        if name not in self._texts:
            self._texts[name] = self._read_texts(name)
        return self._texts[name]

    def beside(self, names: str) -> list[str | None]:
        """The texts of the first column that no field has and whose heading is in this list of words."""
        taken = {use.column for use in self._uses.values()}
        known = word_list(names)
        own = (
            column
            for column, text in self.table.headers.items()
            if column not in taken and fold(text) in known
        )
        column = next(own, None)
        if column is None:
            return [None] * len(self.rows)
        values = (cells[column - 1] if column <= len(cells) else "" for cells in self._cells)
        return [None if isinstance(value, Fault) else words(value) or None for value in values]

    def _read_texts(self, name: str) -> list[str | None]:
        if name not in self:
            return [None] * len(self.rows)
        values = self.raw(name)
        distinct = set(values)
        if all(type(value) is str for value in distinct):
            clean = {value: " ".join(value.split()) or None for value in distinct if isinstance(value, str)}
            return [clean[value] for value in values]  # type: ignore[index]
        return [self._text(index, name, value) for index, value in enumerate(values)]

    def _text(self, index: int, name: str, value: Value) -> str | None:
        if isinstance(value, Fault):
            self.note_unread(index, name, value, value.reason)
            return None
        if isinstance(value, date | time | timedelta) and name in NAMES:
            self.note_unread(
                index, name, value, "a date where a name belongs; format the cell as text and type it again"
            )
        return words(value) or None

    def numbers(
        self, name: str, read: Callable[[Value, Context], T], unit: str | None = None
    ) -> list[T | None]:
        """A column of quantities; what cannot be read goes to `unread`.

        Parameters
        ----------
        unit : of bare numbers where the heading states none
        """
        if name not in self:
            return [None] * len(self.rows)
        values = self.raw(name)
        given = self.given.get(name)
        if given is not None and given.units is not None:
            return self._by_unit(name, read, values, given.units, unit)
        context = self.context(name, values, unit)
        plain_numbers: dict[float, T] = {}
        result: list[T | None] = []
        for index, value in enumerate(values):
            if type(value) is float and value in plain_numbers:
                result.append(plain_numbers[value])
            elif value == "" or (type(value) is str and not value.strip()):
                result.append(None)
            else:
                result.append(self._read(index, name, value, read, context))
                if type(value) is float and (found := result[-1]) is not None:
                    plain_numbers[value] = found
        return result

    def _by_unit(
        self,
        name: str,
        read: Callable[[Value, Context], T],
        values: Sequence[Value],
        units: Sequence[str | None],
        unit: str | None,
    ) -> list[T | None]:
        """The same where each record has a unit of its own."""
        contexts: dict[str | None, Context] = {}
        result: list[T | None] = []
        for index, (value, own) in enumerate(zip(values, units, strict=True)):
            if own not in contexts:
                shared = self.context(name, values, own or unit)
                contexts[own] = Context(own or shared.unit, shared.separators, shared.volts)
            blank = value == "" or (type(value) is str and not value.strip())
            result.append(None if blank else self._read(index, name, value, read, contexts[own]))
        return result

    def _read(
        self, index: int, name: str, value: Value, read: Callable[[Value, Context], T], context: Context
    ) -> T | None:
        try:
            return read(value, context)
        except UnreadableError as reason:
            self.note_unread(index, name, value, str(reason))
            return None

    def context(
        self, name: str, values: Sequence[Value], unit: str | None = None, rows: Sequence[int] | None = None
    ) -> Context:
        """What the values show of their separators; `rows` are theirs where there is not one a row."""
        use = self.use(name)
        unit = use.unit or unit
        texts = [plain(value) for value in values if type(value) is str and value]
        if not texts or name not in NUMERIC | {"chain"}:
            return Context(unit, UNKNOWN, use.volts)
        feet = unit in ("ft", "in", "yd") or (unit is None and any(_in_feet(text) for text in texts))
        found = separators(texts, feet=feet, decimal_comma=self._decimal_comma, settled=self._settled)
        if found.decimal == ",":
            if any("," in text for text in texts):
                self.said.append((use, "the numbers in {!r} are read with a comma as the decimal character"))
        elif name != "gauge":
            self._ask_of_commas(use, values, self.rows if rows is None else rows)
        return Context(unit, found, use.volts)

    def _ask_of_commas(self, use: ColumnUse, values: Sequence[Value], rows: Sequence[int]) -> None:
        """`1,25` where nothing shows that commas mark decimals may be a slip for 1,250 or 125."""
        found = [
            (row, value)
            for row, value in zip(rows, values, strict=True)
            if type(value) is str and "," in value and _SHORT_AFTER_COMMA.search(plain(value))
        ]
        if not found:
            return
        one = self._comma_question(use, *found[0])
        if chosen(one, self.answers) is not None:
            self.remarks.append(to_decide(one, use.header, self.answers))
            return
        if len(found) > MOST_ASKED:
            found = [(self.table.heading_row, f"{found[0][1]} and {len(found) - 1} more cells")]
        for row, text in found:
            message = (
                f"{text} of {use.header!r}: the comma is read as the decimal character, as thousands have three digits "
                "after it; write a point if that is right, else correct the number"
            )
            where = CellRef(self.sheet, row, use.column)
            self.remarks.append(replace(to_decide(one, use.header, message=message), where=where))

    def _comma_question(self, use: ColumnUse, row: int, text: Value) -> Question:
        decimal = choices(("it marks decimals", f"{text} is read with a decimal comma"))
        slip = untried("it is a slip", "the cells are to be corrected")
        sentence = f"{text} of {use.header!r}: what is the comma there?"
        return asked(
            "comma",
            (self.sheet, use.header),
            sentence,
            (*decimal, slip),
            CellRef(self.sheet, row, use.column),
        )

    def note_unread(self, index: int, name: str, value: Value, reason: str) -> None:
        text = shown(value)
        text = text if len(text) <= MAX_QUOTED else text[:MAX_QUOTED] + "…"
        self.unread[index].append(Unread(field=name, text=text, reason=reason, where=self.where(index, name)))

    def unread_rows(self) -> list[tuple[Unread, ...]]:
        """For each row what could not be read of it, once all its fields are read."""
        if not self.unread:
            return [()] * len(self.rows)
        return [tuple(self.unread.get(index, ())) for index in range(len(self.rows))]


def _in_feet(text: str) -> bool:
    return text.endswith(("ft", "'", '"', "in", "feet"))
