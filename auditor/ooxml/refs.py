"""Cell references as a spreadsheet writes them, and sheet names as it allows them."""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

LAST_COLUMN = 16384
LAST_ROW = 1048576
_AREA = re.compile(r"\$?([A-Za-z]{1,3})?\$?(\d+)?(?::\$?([A-Za-z]{1,3})?\$?(\d+)?)?")
_SHEET_AREA = re.compile(r"(?:'((?:[^']|'')+)'|([^'!,\s(]+))!([$A-Za-z0-9:]+)")
_FORBIDDEN = re.compile(r"[\[\]:*?/\\\x00-\x1f]")


def letters(column: int) -> str:
    text = ""
    while column:
        column, digit = divmod(column - 1, 26)
        text = chr(65 + digit) + text
    return text


def column_number(text: str) -> int:
    number = 0
    for letter in text.upper():
        number = number * 26 + ord(letter) - 64
    return number


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of cells, corners included, counted from 1."""

    top: int
    left: int
    bottom: int
    right: int

    def __str__(self) -> str:
        first = f"{letters(self.left)}{self.top}"
        last = f"{letters(self.right)}{self.bottom}"
        return first if first == last else f"{first}:{last}"

    def absolute(self) -> str:
        return f"${letters(self.left)}${self.top}:${letters(self.right)}${self.bottom}"

    def meets(self, other: "Area") -> bool:
        rows = self.top <= other.bottom and other.top <= self.bottom
        return rows and self.left <= other.right and other.left <= self.right

    def has(self, row: int, column: int) -> bool:
        return self.top <= row <= self.bottom and self.left <= column <= self.right

    def holds(self, other: "Area") -> bool:
        rows = self.top <= other.top and other.bottom <= self.bottom
        return rows and self.left <= other.left and other.right <= self.right


def area(text: str) -> Area | None:
    """`A1`, `$A$1:$B$9`, `A:C`, `3:7`; None for anything else."""
    match = _AREA.fullmatch(text.strip())
    if match is None or not (match[1] or match[2]):
        return None
    left = column_number(match[1]) if match[1] else 1
    top = int(match[2]) if match[2] else 1
    if ":" not in text:
        return Area(top, left, top, left) if match[1] and match[2] else None
    right = column_number(match[3]) if match[3] else LAST_COLUMN
    bottom = int(match[4]) if match[4] else LAST_ROW
    return Area(min(top, bottom), min(left, right), max(top, bottom), max(left, right))


WHOLE_SHEET = Area(1, 1, LAST_ROW, LAST_COLUMN)


def areas(text: str) -> list[Area]:
    """The areas of a blank-separated list, as in `sqref`."""
    return [found for word in text.split() if (found := area(word))]


def sheet_areas(formula: str) -> Iterator[tuple[str, Area]]:
    """The areas, each with its sheet, that a defined name refers to."""
    for quoted, bare, text in _SHEET_AREA.findall(formula):
        if found := area(text):
            yield (quoted.replace("''", "'") or bare), found


def on_sheet(sheet: str, found: Area) -> str:
    """`'Cable pulls'!$A$1:$B$9`; the quotes are always there, apostrophes are doubled."""
    return f"'{sheet.replace(chr(39), chr(39) * 2)}'!{found.absolute()}"


def free_sheet_name(wanted: str, taken: Collection[str]) -> str:
    """A name that a spreadsheet program takes and that no sheet has: at most 31 UTF-16 units, none
    of `[]:*?/\\`, compared without case."""
    base = _FORBIDDEN.sub(" ", wanted).strip().strip("'").strip() or "Audit"
    if base.casefold() == "history":  # reserved by spreadsheet programs
        base += " " + "sheet"
    used, number, name = {each.casefold() for each in taken}, 1, _cut(base, "")
    while name.casefold() in used:
        number += 1
        name = _cut(base, f" {number}")
    return name


def _cut(base: str, ending: str) -> str:
    while len((base + ending).encode("utf-16-le", "surrogatepass")) > 62:
        base = base[:-1].rstrip(" '")
    return base + ending
