"""Which rows head a table: by words that are known, or by what stands below them."""

import itertools
import re
from collections.abc import Iterable
from dataclasses import dataclass

from auditor.intake.blocks.grid import filled_cells, is_quantity, shape_of, texts_of
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import words
from auditor.intake.names.chains import CHAIN_MARK
from auditor.intake.names.ports import spelled
from auditor.intake.words import MAX_HEADING, candidates, is_known, matcher, said

MOST_BELOW = 12  # rows below a heading that are looked at
MOST_ROWS = 5  # of a heading
MOST_COLUMNS = 50  # that a text of a heading is merged over
_NUMBER = re.compile(r"(?<=[^\W\d])\d{1,2}$")  # of a column among others of its name
_PLACE = re.compile(r"(\d{1,2})(?:\s*[\W_]?\s*[^\W\d]{1,6}\.?\W?)?")  # `1`, `1 (ft)`
LEAST_NAMED = 3  # names of one form below another; project convention
LEAST_APART = 3  # headings of a row in which a number stands apart


@dataclass(frozen=True, slots=True)
class HeadingRows:
    """The rows of one heading and each column's whole text."""

    rows: tuple[int, ...]
    texts: dict[int, str]  # column -> heading, two rows joined
    groups: dict[int, str]  # column -> the text that stands above several columns


def heading_at(sheet: Sheet, row: int, left: int, right: int, *, at_start: bool) -> HeadingRows | None:
    """The heading that begins in this row, with the rows below that belong to it.

    Parameters
    ----------
    at_start : nothing or only lines stand right above, so that a heading may be known by its form alone
    """
    if at_start and (counted := _counted(sheet, row, left, right)):
        return HeadingRows((row,), counted, {})
    if at_start and (last := _merged_down(sheet, row, left, right)):
        return _over_rows(sheet, row, last, left, right)
    upper = texts_of(sheet, row, left, right)
    if not _may_head(sheet, row, upper, left, right):
        return None
    lower = texts_of(sheet, row + 1, left, right)
    if (
        lower
        and not _is_title(sheet, row + 1, lower, len(upper))
        and (_are_units(upper, lower) or _is_second_row(sheet, row, upper, lower, left, right))
    ):
        return _over_two(sheet, row, upper, lower, left, right)
    heads = _known(upper.values()) or (at_start and _stands_out(sheet, row, upper, left, right))
    if heads and not _names_as_below(sheet, row, upper, left, right):
        return HeadingRows((row,), upper, {})
    return None


def _is_title(sheet: Sheet, row: int, texts: dict[int, str], columns: int) -> bool:
    """Whether one text is merged over most columns of a table: it heads rows, no columns."""
    (column, *more) = texts
    over = [
        end - start + 1
        for first, start, last, end in sheet.merges
        if first <= row <= last and start == column
    ]
    return not more and bool(over) and over[0] * 2 > columns


def _merged_down(sheet: Sheet, row: int, left: int, right: int) -> int | None:
    """The last row of a heading some of whose texts are merged down over all its rows; None: none is."""
    texts = texts_of(sheet, row, left, right)
    if len(texts) < 2 or len(texts) < len(filled_cells(sheet.rows[row - 1], left, right)):
        return None
    own = [merge for merge in sheet.merges if merge[0] == row and merge[1] in texts]
    last = {merge[2] for merge in own if merge[2] > row}
    if (
        len(last) != 1
        or not row < (end := last.pop()) < row + MOST_ROWS
        or any(map(is_quantity, texts.values()))
    ):
        return None
    gathered = any(top == bottom and start < stop for top, start, bottom, stop in own)
    below = filled_cells(sheet.rows[end], left, right) if end < len(sheet.rows) else {}
    return end if gathered and below else None


def _over_rows(sheet: Sheet, first: int, last: int, left: int, right: int) -> HeadingRows:
    """Headings over several rows: what is merged over several columns counts for each of them."""
    texts: dict[int, list[str]] = {}
    groups: dict[int, str] = {}
    for row in range(first, last + 1):
        own = texts_of(sheet, row, left, right)
        for top, start, bottom, end in sheet.merges:
            if top == row and start in own and end > start and end - start < MOST_COLUMNS:
                own |= dict.fromkeys(range(start, end + 1), own[start])
                if bottom < last:
                    groups |= dict.fromkeys(range(start, end + 1), own[start])
        for column, text in own.items():
            texts.setdefault(column, []).append(text)
    return HeadingRows(
        tuple(range(first, last + 1)), {column: " ".join(texts[column]) for column in sorted(texts)}, groups
    )


def _counted(sheet: Sheet, row: int, left: int, right: int) -> dict[int, str]:
    """The texts of a row that is a word and the places behind it: `Port | 1 | 2 | 3`; else none."""
    cells = sorted(filled_cells(sheet.rows[row - 1], left, right).items())
    texts = {
        column: str(int(value)) if isinstance(value, float) and value.is_integer() else words(value)
        for column, value in cells
    }
    first, *places = texts.values()
    counted = [match[1] if (match := _PLACE.fullmatch(text)) else "" for text in places]
    in_order = counted == [str(number) for number in range(1, len(places) + 1)]
    alone = cells[-1][0] - cells[0][0] == len(places)
    return texts if len(places) > 1 and in_order and alone and not any(map(str.isdigit, first)) else {}


def heads_chains(sheet: Sheet, row: int, filled: dict[int, Value]) -> bool:
    """Whether a text alone in its row heads chains that stand alone below it."""
    below = filled_cells(sheet.rows[row]) if row < len(sheet.rows) else {}
    if len(filled) != 1 or below.keys() != filled.keys():
        return False
    texts = [words(value) for value in (*filled.values(), *below.values()) if isinstance(value, str)]
    named = len(texts) == 2 and any(field == "chain" for field, _ in candidates("pulls", texts[0]))
    return named and CHAIN_MARK.search(texts[1]) is not None


def with_group_above(sheet: Sheet, found: HeadingRows, left: int, right: int) -> HeadingRows:
    """A heading of one row with the text that is merged over some of its columns in the row above."""
    row = found.rows[0]
    above = texts_of(sheet, row - 1, left, right) if row > 1 else {}
    if len(found.rows) > 1 or len(above) != 1:
        return found
    (column,) = above
    over = [
        (start, end)
        for first, start, last, end in sheet.merges
        if first <= row - 1 <= last and start == column < end
    ]
    if (
        len(filled_cells(sheet.rows[row - 2], left, right)) != 1
        or not over
        or over[0][1] - column + 1 >= len(found.texts)
    ):
        return found
    return _over_two(sheet, row - 1, above, found.texts, left, right)


def _may_head(sheet: Sheet, row: int, texts: dict[int, str], left: int, right: int) -> bool:
    """Short texts and nothing else; more than one of them."""
    cells = filled_cells(sheet.rows[row - 1], left, right)
    return (
        len(texts) >= 2
        and (len(texts) == len(cells) or _rest_is_apart(texts, cells))
        and max(map(len, texts.values())) <= MAX_HEADING
        and not any(map(is_quantity, texts.values()))
        and not any(map(CHAIN_MARK.search, texts.values()))
        and not _is_port_itself(list(texts.values()))
        and not _has_label(list(texts.values()))
    )


def _is_port_itself(texts: list[str]) -> bool:
    """Whether a row is that of a port in a tree: its name, and the word for a port; a unit may stand beside them."""
    ports = [text for text in texts if spelled(text)]
    words_of_port = [text for text in texts if any(field == "port" for field, _ in candidates("pulls", text))]
    rest = [text for text in texts if text not in ports and text not in words_of_port]
    return len(ports) == 1 and bool(words_of_port) and all(text.casefold() in UNIT_OF for text in rest)


def _rest_is_apart(texts: dict[int, str], cells: dict[int, Value]) -> bool:
    """Whether known headings end at an empty cell, and what is no text stands past it."""
    rest = cells.keys() - texts.keys()
    return min(rest) > max(texts) + 1 and len(texts) >= LEAST_APART and _known(texts.values())


def _has_label(texts: list[str]) -> bool:
    """Whether a value stands beside a text with a colon; known headings in a row may end with one too."""
    return any(
        text.endswith(":") and not (is_known(text) and is_known(after))
        for text, after in zip(texts, [*texts[1:], texts[-1]], strict=True)
    )


def _known(texts: Iterable[str]) -> bool:
    """Whether enough of the texts are headings that are known, and not half of them unknown names with digits."""
    listed = list({_NUMBER.sub("", text): text for text in texts}.values())  # `L0`, `L1`, `L2` count once
    known = sum(map(is_known, listed))
    numbered = sum(any(map(str.isdigit, text)) and not is_known(text) for text in listed)
    enough = (known >= 2 and known * 3 >= len(listed)) or (known == 1 and len(listed) == 2)
    return enough and numbered * 2 < len(listed)


def known_share(heading: HeadingRows) -> float:
    """Share of a heading's texts that are known."""
    return sum(map(is_known, heading.texts.values())) / max(1, len(heading.texts))


def _below(sheet: Sheet, row: int, left: int, right: int) -> list[dict[int, Value]]:
    """The next rows with something in them, down to a gap of two rows."""
    found: list[dict[int, Value]] = []
    gap = 0
    for cells in sheet.rows[row : row + MOST_BELOW]:
        filled = filled_cells(cells, left, right)
        gap = 0 if filled else gap + 1
        if gap > 1:
            break
        if len(filled) > 1:
            found.append(filled)
    return found


def _stands_out(sheet: Sheet, row: int, texts: dict[int, str], left: int, right: int) -> bool:
    """Whether a row differs from all below it as a heading does: text over numbers, words over names
    with digits, no text that comes again, and no blank column over values."""
    below = _below(sheet, row, left, right)
    if len(below) < 2 or len(texts) < 2:
        return False
    contrast = alike = 0
    for column, text in texts.items():
        values = [cells[column] for cells in below if column in cells]
        if not values:
            continue
        if sum(map(is_quantity, values)) * 3 >= 2 * len(values):
            contrast += 2
            continue
        named = [words(value) for value in values]
        if text in named or (any(map(str.isdigit, text)) and shape_of(text) in map(shape_of, named)):
            alike += 2
        elif not any(map(str.isdigit, text)) and sum(any(map(str.isdigit, n)) for n in named) * 3 >= 2 * len(
            named
        ):
            contrast += 1
    columns = {column for cells in below for column in cells}
    return contrast > alike and contrast >= 2 and len(texts) * 2 > len(columns)


def _is_second_row(
    sheet: Sheet, row: int, upper: dict[int, str], lower: dict[int, str], left: int, right: int
) -> bool:
    """Whether the row below is still heading: all text, and words or units of headings in it."""
    if not _may_head(sheet, row + 1, lower, left, right):
        cells = filled_cells(sheet.rows[row], left, right) if row < len(sheet.rows) else {}
        if len(cells) != len(lower) or len(lower) != 1 or is_quantity(next(iter(lower.values()))):
            return False
    known_below = sum(map(is_known, lower.values()))
    if known_below == 0:
        merged = any(first <= row <= last and end > start for first, start, last, end in sheet.merges)
        grouped = len(upper) < len(lower) and (merged or _known(upper.values()))
        return grouped and _stands_out(sheet, row + 1, lower, left, right)
    if matcher("total").search(next(iter(lower.values())).casefold()):
        return False
    if _same_form_below(sheet, row + 1, lower, left, right):
        return False
    if not _known(upper.values()) and not _is_group_row(sheet, row, upper, lower):
        return False
    only_lower = lower.keys() - upper.keys()
    both = lower.keys() & upper.keys()
    return bool(only_lower) or known_below * 2 >= len(both)


def _are_units(upper: dict[int, str], lower: dict[int, str]) -> bool:
    """Whether the row below a heading holds units only: `Length` over `mm`."""
    units = all(text.strip("()[]. ").casefold() in UNIT_OF for text in lower.values())
    return len(upper) > 2 and lower.keys() <= upper.keys() and units


def _same_form_below(sheet: Sheet, row: int, texts: dict[int, str], left: int, right: int) -> bool:
    """Whether a row reads like the rows below it, so that it is data."""
    below = _below(sheet, row, left, right)[:4]
    same = sum(
        any(map(str.isdigit, text))
        and shape_of(text) in {shape_of(words(cells[column])) for cells in below if column in cells}
        for column, text in texts.items()
    )
    return same > 0


def _names_as_below(sheet: Sheet, row: int, texts: dict[int, str], left: int, right: int) -> bool:
    """Whether the first text is a name with digits as all below it are, each another one: `KP-101` over `TH-102`."""
    column = min(texts)
    below = [words(cells[column]) for cells in _below(sheet, row, left, right) if column in cells]
    named = [texts[column], *below]
    forms = {shape_of(name) for name in named}
    lettered = any(map(str.isdigit, named[0])) and any(map(str.isalpha, named[0]))
    return len(below) >= LEAST_NAMED and lettered and len(forms) == 1 and len(set(named)) == len(named)


def _is_group_row(sheet: Sheet, row: int, upper: dict[int, str], lower: dict[int, str]) -> bool:
    """A row whose few texts stand above several columns each."""
    merged = any(first <= row <= last and end > start for first, start, last, end in sheet.merges)
    return len(upper) < len(lower) and (merged or len(upper) >= 2)


def _distance(columns: list[int]) -> int | None:
    """How many columns a text stands over, where several stand at one distance; None: it cannot be told."""
    steps = {b - a for a, b in itertools.pairwise(columns)}
    return steps.pop() if len(steps) == 1 else None


def _over_two(
    sheet: Sheet, row: int, upper: dict[int, str], lower: dict[int, str], left: int, right: int
) -> HeadingRows:
    """Headings over two rows: a text above several columns counts for all of them."""
    spread = dict(upper)
    bounded: set[int] = (
        set()
    )  # columns under a text that is merged over several: it counts for no further one
    for first, start, last, end in sheet.merges:
        if first <= row <= last and start in upper:
            bounded |= set(range(start, end + 1)) if end > start else set()
            spread |= dict.fromkeys(range(start, min(end, start + MOST_COLUMNS) + 1), upper[start])
    widest = _distance(sorted(upper))
    for column in sorted(lower):
        start = max((c for c in upper if c <= column), default=0)
        near = widest is None or column - start < widest
        if (
            column not in spread
            and column - 1 in spread
            and column - 1 not in bounded
            and column - 1 in lower
            and column not in upper
            and near
        ):
            spread[column] = spread[column - 1]
    shared = {c for c, text in spread.items() if any(spread.get(c + side) == text for side in (-1, 1))}
    between = " / " if _say_the_same(upper, lower) else " "
    texts = {}
    for column in sorted(spread.keys() | lower.keys()):
        above, below = spread.get(column, ""), lower.get(column, "")
        if column in upper or column in lower:
            texts[column] = between.join(filter(None, (above, below)))
    return HeadingRows((row, row + 1), texts, {c: spread[c] for c in shared})


def _say_the_same(upper: dict[int, str], lower: dict[int, str]) -> bool:
    """Whether two rows of headings are one in two languages: `De | Vers` over `Van | Naar`."""
    both = [column for column in upper.keys() & lower.keys() if upper[column] != lower[column]]
    same = sum(not said(upper[column]).keys().isdisjoint(said(lower[column])) for column in both)
    return len(upper) == len(lower) and len(both) > 1 and same * 2 > len(both)
