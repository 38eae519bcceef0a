"""What we wrote, a print of each text and figure: what stands in a cell of ours beside these was typed there.

They stand in hidden defined names as constant texts, which both spreadsheet programs and libraries keep; a
custom XML part they move or drop. A text in a formula has at most 255 characters, a formula 8,192: common
practice, no published source.
"""

import base64
import binascii
import re
import zlib
from array import array
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from auditor.annotate.columns import Placed
from auditor.annotate.our_columns import OUR_NAMES
from auditor.job.remarks import REMARKS_HEADING
from auditor.ooxml.workbook_part import WorkbookPart

MOST = 20_000  # texts, and figures; of more none is remembered: they would outgrow the copy
_LETTERS, _PIECES = 252, 20  # of a constant text, and texts of a name
_TEXTS, _FIGURES = f"{OUR_NAMES}texts.", f"{OUR_NAMES}figures."
_CONSTANT = re.compile(r'"([A-Za-z0-9+/=]*)"')

Value = str | float


@dataclass(frozen=True, slots=True)
class Known:
    """Prints of what we wrote; empty: nobody remembers."""

    texts: frozenset[int]
    figures: frozenset[int]

    def is_ours(self, value: Value) -> bool:
        """Whether we may have written a value; so it counts where that is not remembered."""
        if isinstance(value, float):
            return not self.figures or print_of(value) in self.figures
        return not self.texts or "_x" in value or not value.strip() or print_of(value) in self.texts


NOTHING_KNOWN = Known(frozenset(), frozenset())


def print_of(value: Value) -> int:
    """A number for a text without its blanks, or for a figure: programs write these anew."""
    text = f"{value:.9g}" if isinstance(value, float) else "".join(value.split())
    return zlib.crc32(text.encode("utf-8", "replace"))


def remember(
    book: WorkbookPart, texts: Collection[str], figures: Collection[float], placed: Iterable[Placed]
) -> None:
    """Note what is written: the texts and figures of our sheets, and what stands in our columns."""
    columns = [column for each in placed for column in each.added.columns]
    ours = [column for column in columns if column.header != REMARKS_HEADING]
    beside = {value for column in ours for value in column.values.values()}
    headings = {column.header for column in columns}
    _note(book, _TEXTS, {*texts, *headings, *(each for each in beside if isinstance(each, str))})
    _note(book, _FIGURES, {*figures, *(float(each) for each in beside if isinstance(each, (int, float)))})


def known(book: WorkbookPart) -> Known:
    return Known(frozenset(_noted(book, _TEXTS)), frozenset(_noted(book, _FIGURES)))


def _note(book: WorkbookPart, kind: str, values: Collection[Value]) -> None:
    if len(values) > MOST:
        return
    prints = array("I", sorted(set(map(print_of, values)))).tobytes()
    text = base64.b64encode(prints).decode()
    pieces = [f'"{text[at : at + _LETTERS]}"' for at in range(0, len(text), _LETTERS)]
    for number, at in enumerate(range(0, len(pieces), _PIECES), 1):
        book.set_name(f"{kind}{number}", None, "&".join(pieces[at : at + _PIECES]), hidden=True)


def _noted(book: WorkbookPart, kind: str) -> Iterator[int]:
    for name in book.names:
        if name.name.startswith(kind):
            try:
                data = base64.b64decode("".join(_CONSTANT.findall(name.text)))
            except binascii.Error:
                continue
            yield from array("I", data[: len(data) // 4 * 4])
