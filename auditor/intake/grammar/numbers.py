"""Numbers as people type them: which character is the decimal one is inferred for a whole column."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

_INVISIBLE = dict.fromkeys(
    [
        0x200B,
        0x200C,
        0x200D,
        0x200E,
        0x200F,
        0x2060,
        0xFEFF,
        0xAD,
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
    ]
)
_LOOKS = str.maketrans(
    {
        "\u2032": "'", "\u2033": '"', "\u2018": "'", "\u2019": "'", "\u201b": "'", "\u00b4": "'", "`": "'",
        "\u02b9": "'", "\u02bc": "'", "\u201c": '"', "\u201d": '"', "\u02ba": '"', "\u2212": "-", "\u2010": "-",
        "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2014": "-", "\u2044": "/", "\u00a0": " ", "\u066b": ".",
        "\u066c": "'", "\u00d7": "x",
    }
)  # fmt: skip
_GROUPED = re.compile(r"\d{1,3}(?:([,.' ])\d{3})(?:\1\d{3})*")


class UnreadableError(Exception):
    """A cell that cannot be read; the text is the reason in a user's words."""


@dataclass(frozen=True, slots=True)
class Separators:
    """The decimal character of a column, and what says so; None: nothing says so."""

    decimal: str | None = None
    firm: bool = False  # seen in the column's own numbers, not only taken from its unit or language


UNKNOWN = Separators()


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """The text in plain characters: ASCII digits, quotes, dashes and spaces."""
    if text.isascii():
        return text.strip()
    for character in text:
        if unicodedata.decomposition(character).startswith("<fraction>"):
            text = text.replace(character, " " + unicodedata.normalize("NFKC", character))
    text = text.translate(_INVISIBLE).translate(_LOOKS)
    text = unicodedata.normalize("NFKC", text).translate(_LOOKS)
    return "".join(
        str(unicodedata.digit(c)) if not c.isascii() and unicodedata.category(c) == "Nd" else c for c in text
    ).strip()


def separators(
    texts: Iterable[str], *, feet: bool, decimal_comma: bool | None, settled: bool = False
) -> Separators:
    """What a column's numbers show.

    Parameters
    ----------
    texts : the column's text cells, already `plain`
    feet : the column is in feet or inches, which are written the English way
    decimal_comma : what the file's language or its field separator says; None: nothing
    settled : a person says it, so that 1.041 with decimal commas is 1041 where no number shows otherwise
    """
    seen: set[str] = set()
    commas = 0
    for text in texts:
        for token in re.findall(r"\d[\d.,' ]*", text):
            style, weak = _shown(token.strip(" .,'"))
            if style:
                seen.add(style)
            commas += weak
    if commas > 1:
        seen.add(",")
    if feet and decimal_comma and seen <= {","}:
        return Separators(",", False)  # two customs in one column: 0,1 is read, 1,250 is not
    hint = "." if feet else {True: ",", False: ".", None: None}[decimal_comma]
    if len(seen) > 1:
        return Separators(None)
    if seen:
        decimal = seen.pop()
        return Separators(decimal if hint in (None, decimal) else None, hint in (None, decimal))
    return Separators(hint, settled and not feet)


def _shown(token: str) -> tuple[str | None, int]:
    """The decimal character that one number shows for sure, and whether it hints at a comma."""
    dot, comma = token.rfind("."), token.rfind(",")
    if dot >= 0 and comma >= 0:
        return ("." if dot > comma else ","), 0
    if comma >= 0:
        if token.count(",") > 1:
            return ".", 0
        grouped = len(token) - comma - 1 == 3 and token[0] != "0"
        return (
            (None, 0)
            if grouped and not re.search(r"[' ]", token)
            else ("," if re.search(r"[' ]", token) else None, 1)
        )
    if dot >= 0:
        if token.count(".") > 1:
            return ",", 0
        return (None if len(token) - dot - 1 == 3 and token[0] != "0" else "."), 0
    return None, 0


def number(text: str, column: Separators) -> float:
    """One unsigned number.

    Raises
    ------
    UnreadableError : not a number, or its separator can mean two things
    """
    bare = text.strip()
    if bare.isdigit():
        return float(bare)
    if not re.fullmatch(r"\d[\d.,' ]*|[.,]\d+", bare) or bare[-1] in ".,'":
        raise UnreadableError("not a number")
    dots, commas = bare.count("."), bare.count(",")
    if dots and commas:
        decimal = max(".,", key=bare.rfind)
        return _joined(bare, decimal)
    if not dots and not commas:
        return _joined(bare, ".")
    mark = "." if dots else ","
    if bare.count(mark) > 1:
        return _joined(bare, "," if mark == "." else ".")
    return _single(bare, mark, column)


def _single(bare: str, mark: str, column: Separators) -> float:
    """A number with one separator in it, which may mark decimals or thousands."""
    decimals = len(bare) - bare.index(mark) - 1
    thousands = decimals == 3 and re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", bare) is not None
    spaced = re.search(r"[' ]", bare) is not None
    if spaced:
        return _joined(bare, mark)
    if mark == ".":
        if column.decimal == "," and thousands and column.firm:
            return _joined(bare, ",")
        if column.decimal != "," and not thousands:
            return _joined(bare, ".")
        if column.decimal == "." and column.firm:
            return _joined(bare, ".")
    elif column.decimal == ",":
        if not thousands or column.firm:
            return _joined(bare, ",")
    elif decimals < 3 or (column.decimal == "." and thousands):
        return _joined(bare, "," if decimals < 3 else ".")  # thousands have three digits after them
    other = "," if mark == "." else "."
    raise UnreadableError(
        f"{bare} can be read with '{mark}' or '{other}' as the decimal character; write it without thousands separators"
    )


def _joined(bare: str, decimal: str) -> float:
    whole, mark, fraction = bare.partition(decimal) if decimal in bare else (bare, "", "")
    if re.search(r"[.,' ]", whole) and not _GROUPED.fullmatch(whole):
        raise UnreadableError("not a number")
    if mark and not fraction.isdigit():
        raise UnreadableError("not a number")
    return float(re.sub(r"[.,' ]", "", whole) + (f".{fraction}" if mark else ""))
