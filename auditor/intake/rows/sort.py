"""Which rows of a table are its records, and which are headings, totals, notes or struck through."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.formats.cells import Fault, Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.chains import CHAIN_MARK, is_dashed
from auditor.intake.roles.first_look import is_rule, is_total
from auditor.intake.roles.found import FoundTable
from auditor.intake.rows.sums import sums_among
from auditor.intake.statements.sentences import panel_in_section
from auditor.intake.words import fold, is_known, matcher
from auditor.job.model import TableKind

_SHARE = re.compile(r"(?:[^\W\d]+\W+){0,3}[+-]?\s*\d{1,2}(?:[.,]\d+)?\s*%(?:\W+[^\W\d]+){0,3}")
_SECTION = re.compile(  # alone in its row these head the rows below, however much they look like a tag
    r"(?:controllers?|ctrl|control|panel|head end|floor|level|storey|area|zone|building|block|wing|port|section|phase|riser|room|"
    r"zentrale|geschoss|etage|bereich|gebäude|raum|étage|niveau|bâtiment|contrôleur|planta|piso|nivel|zona|edificio)\b.*",
    re.IGNORECASE,
)
_ORDINAL = re.compile(r"^\d{1,2}(?:st|nd|rd|th|er|e|eme|o|a|de|ste)?\s+(?=\D)")  # `1. OG`, `2e étage`
_IN_SECTIONS = frozenset({TableKind.PULLS, TableKind.COMBINED, TableKind.DEVICES})
SHARED = (
    "near",
    "cable",
    "controller",
    "port",
    "near_terminal",
    "room",
)  # what rows have in common under merged cells
KEYS = {  # the fields that make a row a record
    TableKind.PULLS: ("near", "far", "id", "chain"),
    TableKind.COMBINED: ("tag", "near", "level"),
    TableKind.DEVICES: ("tag",),
    TableKind.CABLES: ("name",),
    TableKind.CONTROLLERS: ("name",),
    TableKind.REELS: ("length_m", "stock_length_m"),
    TableKind.LEGEND: ("type",),
    TableKind.SPLICES: ("name",),
    TableKind.LENGTHS: ("id",),
}


MOSTLY = 0.9  # share of the routes with an arrow that makes a row without one a remark; project convention


@dataclass(slots=True)
class LeftOut:
    """Rows that are not records, by what they are."""

    struck: list[int] = field(default_factory=list)
    totals: list[int] = field(default_factory=list)
    headings: list[int] = field(default_factory=list)  # the heading again, or the title of a section
    notes: list[int] = field(default_factory=list)
    void: list[int] = field(default_factory=list)
    trades: list[int] = field(default_factory=list)
    ports: list[int] = field(default_factory=list)  # the rows of the ports themselves in a tree
    rules: list[int] = field(default_factory=list)  # lines drawn with dashes

    def count(self) -> int:
        return sum(
            len(set(rows))
            for rows in (
                self.struck,
                self.totals,
                self.headings,
                self.notes,
                self.void,
                self.trades,
                self.ports,
            )
        )


def spread_merges(table: FoundTable) -> list[tuple[int, int, int]]:
    """Writes what cells merged down a column say into each of their rows: (first row, last row, column).

    Only where they say what several pulls or devices share; a length over three rows may be their sum.
    """
    shared = {table.columns[name]: name for name in SHARED if name in table.columns}
    spread = []
    for first, left, last, right in table.sheet.merges:
        if left != right or left not in shared or not table.first_row <= first < last <= table.last_row:
            continue
        value = table.sheet.value(first, left)
        port = isinstance(value, float) and shared[left] in ("port", "near_terminal")
        if not (isinstance(value, str) or port) or is_blank(value) or words(value) == table.headers.get(left):
            continue
        for row in range(first + 1, min(last, len(table.sheet.rows)) + 1):
            if _any_filled(table.sheet.rows[row - 1], table.first_column, table.last_column):
                table.sheet.put(row, left, value)
        spread.append((first, last, left))
    return spread


def sort_rows(table: FoundTable) -> tuple[list[int], LeftOut]:
    """(row numbers of the records, the other rows with something in them)."""
    used = sorted(table.columns.values())
    named = (*KEYS[table.kind], *(name for name in table.columns if name.startswith("step ")))
    keys = list(dict.fromkeys(table.columns[name] for name in named if name in table.columns))
    records: list[int] = []
    other = LeftOut()
    after_gap = False
    struck = table.sheet.struck
    for row, cells in enumerate(table.sheet.rows[table.first_row - 1 : table.last_row], table.first_row):
        own = cells[table.first_column - 1 : table.last_column]
        if not after_gap and len(cells) >= used[-1] and float in map(type, own):
            # the common case, decided fast: all key cells hold short text and there is a number
            for column in keys:
                value = cells[column - 1]
                if type(value) is not str or not 0 < len(value) <= 24:
                    break
            else:
                if not (row in struck or _says_total(cells, keys, table.kind)):
                    records.append(row)
                    continue
        if not _any_filled(cells, table.first_column, table.last_column):
            after_gap = True
            continue
        if is_rule(v for v in cells[table.first_column - 1 : table.last_column] if not is_blank(v)):
            other.rules.append(row)
            continue
        kind = _other(table, row, cells, used, keys, after_gap)
        if kind is None:
            records.append(row)
            after_gap = False
        else:
            getattr(other, kind).append(row)
            after_gap = after_gap and kind != "headings"
    sums = sums_among(table, records)
    other.totals += sorted(sums)
    return _of_chains(table, [row for row in records if row not in sums], other), other


def _of_chains(table: FoundTable, records: list[int], other: LeftOut) -> list[int]:
    """The rows of a table of routes; where nearly all of them hold an arrow, one without it is a remark."""
    column = table.columns.get("chain")
    if column is None or table.kind is not TableKind.PULLS or "near" in table.columns:
        return records
    marked = {row for row in records if CHAIN_MARK.search(words(table.sheet.value(row, column)))}
    if len(marked) == len(records) or len(marked) < MOSTLY * len(records):
        return records
    other.notes += [row for row in records if row not in marked]
    return [row for row in records if row in marked]


def _says_total(cells: Sequence[Value], keys: Sequence[int], kind: TableKind) -> bool:
    """Whether a key cell says that its row sums others up; among pulls with all keys it is an end."""
    if kind is TableKind.PULLS and len(keys) > 1:
        return False
    texts = [cells[column - 1] for column in keys]
    return any(is_total(text) for text in texts if isinstance(text, str))


def _any_filled(cells: Sequence[Value], first: int, last: int) -> bool:
    return any(not is_blank(value) for value in cells[first - 1 : last])


def _value(cells: Sequence[Value], column: int) -> Value:
    return cells[column - 1] if len(cells) >= column else ""


def _other(  # noqa: PLR0911
    table: FoundTable,
    row: int,
    cells: Sequence[Value],
    used: Sequence[int],
    keys: Sequence[int],
    after_gap: bool,
) -> str | None:
    """What a row is that is no record; None: a record."""
    if _is_struck(table, row):
        return "struck"
    if _is_heading_again(table, cells):
        return "headings"
    filled = [column for column in used if not is_blank(_value(cells, column))]
    texts = [
        words(value)
        for value in cells[table.first_column - 1 : table.last_column]
        if isinstance(value, str) and value.strip()
    ]
    if _is_worded_total(table, cells, texts):
        return "totals"
    if texts and _ENDS_A_REPORT.fullmatch(texts[0]):
        return "notes"
    if table.kind is TableKind.CABLES and after_gap and len(filled) * 2 < len(used):
        return "notes"
    missing = [column for column in keys if is_blank(_value(cells, column))]
    worded = [text for text in texts if not is_quantity(text)]  # `4.2 W` may stand before `Sum`
    if _sums_up(worded[:4], bool(missing), table.kind) or _labels_sums(
        cells[table.first_column - 1 : table.last_column]
    ):
        return "totals"
    if _only_sums(table, cells) or _sums_under_a_word(table, row, cells):
        return "totals"
    if len(missing) == len(keys):
        only_numbers = filled and all(isinstance(_value(cells, c), float | Fault) for c in filled)
        return "totals" if only_numbers else "notes"
    if _is_number_only(table, cells) or _counts_pieces(table, cells):
        return "notes"
    alone = len(filled) == 1 and bool(texts)
    if table.kind is TableKind.DEVICES and len(filled) == 2 and texts and _counts_section(texts[0]):
        return "totals"
    section = alone and table.kind in _IN_SECTIONS and _heads_section(texts[0])
    named = all(_is_tag(words(_value(cells, column))) for column in keys if column not in missing)
    if not section and (named or not (alone or (after_gap and missing and len(filled) < 3))):
        return None
    return "notes" if after_gap and not section else "headings"


def _sums_up(texts: Sequence[str], unkeyed: bool, kind: TableKind) -> bool:
    """Whether a row is a total, or a share added to one such as `waste + 10 %`."""
    if unkeyed and any(map(_SHARE.fullmatch, texts)):
        return True
    return any(map(is_total, texts)) and (unkeyed or kind is not TableKind.PULLS)


def _only_sums(table: FoundTable, cells: Sequence[Value]) -> bool:
    """Whether a row of a schedule names no end and has a word without digits and a number."""
    columns = table.columns
    ends = [columns[name] for name in ("near", "far", "tag", "chain") if name in columns]
    if (
        table.kind not in (TableKind.PULLS, TableKind.COMBINED)
        or len(ends) < 2
        or "level" in columns
        or "sequence" in columns
    ):
        return False
    filled = [value for value in cells[table.first_column - 1 : table.last_column] if not is_blank(value)]
    if any(not is_blank(_value(cells, column)) for column in ends) or len(filled) < 2:
        return False
    texts = [value for value in filled if isinstance(value, str) and not value[:1].isdigit()]
    return len(texts) < len(filled) and not any(any(map(str.isdigit, text)) for text in texts)


def _sums_under_a_word(table: FoundTable, row: int, cells: Sequence[Value]) -> bool:
    """Whether the last row of a combined list has a word and numbers only where each other row has a tag with digits:
    `Fitted`."""
    columns = table.columns
    if table.kind is not TableKind.COMBINED or row != table.last_row or not {"tag", "near"} <= columns.keys():
        return False
    tag = _value(cells, columns["tag"])
    filled = [value for value in cells[table.first_column - 1 : table.last_column] if not is_blank(value)]
    numbers = sum(isinstance(value, float | Fault) for value in filled)
    if not isinstance(tag, str) or any(map(str.isdigit, tag)) or not 0 < numbers == len(filled) - 1:
        return False
    others = [table.sheet.value(above, columns["tag"]) for above in range(table.first_row, row)]
    texts = [value for value in others if isinstance(value, str) and not is_blank(value)]
    return sum(any(map(str.isdigit, text)) for text in texts) >= MOSTLY * len(texts) > 0


def _is_worded_total(table: FoundTable, cells: Sequence[Value], texts: Sequence[str]) -> bool:
    """Whether a row of a list is one text of several words, a total among them, with numbers only: `Load of the bus, total`."""
    if table.kind is not TableKind.DEVICES or len(texts) != 1 or any(map(str.isdigit, texts[0])):
        return False
    numbers = sum(isinstance(value, float) for value in cells[table.first_column - 1 : table.last_column])
    return (
        numbers == 1
        and len(fold(texts[0]).split()) > 1
        and matcher("total").search(fold(texts[0])) is not None
    )


def _is_number_only(table: FoundTable, cells: Sequence[Value]) -> bool:
    """Whether a row of a schedule is a number that is kept free: no end, no length, no cable, but a note."""
    columns = table.columns
    if table.kind is not TableKind.PULLS or not {"id", "near", "far", "note"} <= columns.keys():
        return False
    blank = [
        is_blank(_value(cells, columns[name]))
        for name in ("near", "far", "length_m", "cable")
        if name in columns
    ]
    return all(blank) and not is_blank(_value(cells, columns["note"]))


_ENDS_A_REPORT = re.compile(
    r"[*\-=_#\s]{2,}[^\d]{0,40}[*\-=_#\s]{2,}|\W*end of (?:report|list|file|export)\W*", re.IGNORECASE
)
_PIECES = re.compile(r"\d+\s*(?:pz|pcs?|pieces?|stk|stück|pièces?|uds?|unidades|ea|off|x)\.?", re.IGNORECASE)


def _counts_pieces(table: FoundTable, cells: Sequence[Value]) -> bool:
    """Whether a row has how many there are, `2 pcs.`, where the others have a tag: a stock."""
    column = table.columns.get("tag")
    value = _value(cells, column) if column is not None else ""
    return isinstance(value, str) and _PIECES.fullmatch(words(value)) is not None


def _counts_section(text: str) -> bool:
    """`Level 00: 14` below the rows of a level: how many there are."""
    head, colon, count = text.rpartition(":")
    return bool(colon) and count.strip().isdigit() and _heads_section(head)


def _heads_section(text: str) -> bool:
    """Whether a text alone in its row heads the rows below, however much it looks like a tag."""
    if _SECTION.fullmatch(text) or panel_in_section(text) is not None:
        return True
    folded = _ORDINAL.sub("", fold(text))
    match = matcher("section").match(folded)
    return match is not None and len(folded.split()) <= 4


def _labels_sums(cells: Sequence[Value]) -> bool:
    """Whether a row holds nothing but headings with formulas beside them: `Devices | =COUNTA | Watts | =SUM`."""
    filled = [value for value in cells if not is_blank(value)]
    texts = [value for value in filled if isinstance(value, str)]
    sums = sum(isinstance(value, Fault | float) for value in filled)
    return bool(sums) and len(texts) + sums == len(filled) > 1 and all(map(is_known, texts)) and bool(texts)


def _is_struck(table: FoundTable, row: int) -> bool:
    struck = table.sheet.struck.get(row)
    if not struck:
        return False
    filled = [c for c in table.columns.values() if not is_blank(table.sheet.value(row, c))]
    return bool(filled) and sum(column in struck for column in filled) * 2 > len(filled)


def _is_heading_again(table: FoundTable, cells: Sequence[Value]) -> bool:
    """Whether two of the headings stand again in a row, with or without the text above several columns."""
    found = [
        (words(value), use.header)
        for use in table.understood.columns.values()
        if not is_blank(value := _value(cells, use.column)) and isinstance(value, str)
    ]
    return sum(text == header or header.endswith(f" {text}") for text, header in found) >= 2


def _is_tag(text: str) -> bool:
    """Whether a text is a name such as K7 or P-12 and not a sentence or a section's title."""
    short = len(text) <= 24 and text.count(" ") <= 1 and any(map(str.isdigit, text)) and ": " not in text
    return short or CHAIN_MARK.search(text) is not None or is_dashed(text)
