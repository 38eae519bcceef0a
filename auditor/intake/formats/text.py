"""Text files with separators: which encoding, which separator, which decimal character."""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from auditor.errors import UnusableFileError

_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SEPARATORS = (";", "\t", ",", "|")
_SAMPLE_LINES, _SAMPLE_CHARACTERS = 200, 1_000_000


@dataclass(frozen=True, slots=True)
class TextTable:
    """A text file's cells and what was found out about the file."""

    rows: list[list[str]]
    encoding: str
    separator: str
    decimal_comma: bool
    notes: tuple[str, ...] = ()


def read_text(data: bytes) -> TextTable:
    """The cells of a .csv, .tsv or the like.

    Raises
    ------
    UnusableFileError : a quotation mark that is never closed, or text that no encoding fits
    """
    text, encoding = _decoded(data)
    notes = []
    if "\0" in text:
        text = text.replace("\0", "")
        notes.append("the file holds zero bytes, which were left out")
    text, separator = _separator(text)
    rows = list(_rows(text, separator))
    comma = separator == ";" or (
        separator != "," and re.search(r"\d,\d{1,2}(?:\D|$)", text[:100_000]) is not None
    )
    said = {"\t": "tabs", ",": "commas", ";": "semicolons", "|": "bars"}[separator]
    notes.append(f"read as text in {encoding.removesuffix('-sig')}, columns separated by {said}")
    return TextTable(rows, encoding, separator, comma and "." not in _numbers(text), tuple(notes))


def _decoded(data: bytes) -> tuple[str, str]:
    encoding = next((encoding for bom, encoding in _BOMS if data.startswith(bom)), None)
    try:
        if encoding is not None:
            return data.decode(encoding), encoding
        try:
            return data.decode("utf-8"), "utf-8"
        except UnicodeDecodeError:
            return data.decode("cp1252"), "cp1252"
    except UnicodeDecodeError as cause:
        line = data[: cause.start].count(b"\n") + 1
        raise UnusableFileError(
            f"line {line} holds bytes that are no text in {encoding or 'any encoding known here'}; save it "
            f"as UTF-8"
        ) from cause


def _separator(text: str) -> tuple[str, str]:
    """The text without its `sep=` line (kept as an empty line), and the separator."""
    first, _, rest = text.partition("\n")
    stated = re.fullmatch(r'"?sep=(.)"?\r?', first.strip("\ufeff"))
    if stated:
        return "\n" + rest, stated[1] if stated[1] in _SEPARATORS else ","
    bare = re.sub(r'"[^"]*"', "", text[:_SAMPLE_CHARACTERS])  # a cell in quotation marks may hold lines
    lines = [line for line in bare.splitlines()[:_SAMPLE_LINES] if line.strip()]
    best, merit = ",", (0.0, 0)
    for separator in _SEPARATORS:
        counts = [line.count(separator) for line in lines]
        used = [count for count in counts if count]
        if used:
            common = max(set(used), key=lambda count: (used.count(count), count))
            share = used.count(common) / len(lines)
            if (share, common) > merit:
                best, merit = separator, (share, common)
    return text, best


def _numbers(text: str) -> str:
    """All numbers with a dot and one or two decimals, e.g. 41.5 but not C1.1: they speak against a
    decimal comma."""
    return "".join(re.findall(r"(?<![\w.])\d+\.\d{1,2}(?![\w.])", text[:100_000]))


def _rows(text: str, separator: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as cause:
            reason = (
                "a cell that is longer than any schedule's"
                if "limit" in str(cause)
                else ("a quotation mark that is never closed, or text right after a closing one")
            )
            raise UnusableFileError(f"line {line} has {reason}; mend it and save the file again") from cause
        yield row
        line = reader.line_num + 1
