"""Columns with a heading that are not read: which of them are to be asked about."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, time, timedelta
from functools import cache

from auditor.intake.grammar.values import is_blank, shown
from auditor.intake.names.chains import CHAIN_MARK
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import BY_ANSWER, OF_THE_OFFICE, by_layout
from auditor.intake.rows.asked_columns import column_question
from auditor.intake.said import NO_ANSWERS, Answers, question, reading, to_decide
from auditor.intake.words import (
    OWN_LANGUAGES,
    candidates,
    fold,
    heading,
    said,
    suggestion,
    vocabulary,
    word_list,
)
from auditor.job.field_words import word_of
from auditor.job.model import CellRef, Remark, TableKind

COUNTED: Mapping[str, frozenset[str]] = {  # what an audit adds up -> words that name it in any longer heading
    "quantity": frozenset({"qty", "quantity", "count"}),
    "power_w": frozenset({"watts", "watt", "wattage"}),
    "length_m": frozenset({"length", "footage"}),
}
_PRICES = frozenset(
    {"price", "prices", "cost", "costs", "preis", "kosten", "prix", "cout", "precio", "coste", "costo"}
)
_OTHER_MATTERS = _PRICES | {  # one of them in a heading: it is none of the fields that an audit counts
    "colour", "color", "farbe", "couleur", "supplier", "vendor", "maker", "manufacturer", "brand", "lieferant", "hersteller", "fournisseur",
    "fabricant", "proveedor", "fabricante", "weight", "gewicht", "poids", "peso", "sku", "url", "link", "date", "datum",
    "fecha", "datasheet", "datenblatt", "discount", "currency", "vat", "warranty",
}  # fmt: skip
_INCHES = frozenset({"in", "inch", "inches"})
_SHARE = re.compile(r"\+\s*(\d{1,2}(?:[.,]\d+)?)\s*%")  # added for cutting


def near_misses(table: FoundTable, records: Sequence[int], answers: Answers = NO_ANSWERS) -> list[Remark]:
    """Headed columns that are not read: for review where the audit would count wrong without them."""
    if table.understood.shape != "rows":
        return []
    settled = {one.column for one in table.understood.settled}
    taken = set(table.columns.values()) | settled
    found = []
    for column, text in table.headers.items():
        where = CellRef(table.sheet.name, table.heading_row, column)
        if column in taken:
            claimed = _claimed_twice(table, column, text) if _is_of_the_office(table, text) else ""
            found += [question(text, claimed, where)] if claimed else []
            continue
        if not by_layout(table.understood) and (asked := _counts_otherwise(table, records, column, text)):
            sentence, fields, message = asked
            one = column_question(table, column, sentence, fields, counts=not fields)
            found.append(to_decide(one, text, answers, message=message))
            continue
        if claimed := _claimed_twice(table, column, text):
            found.append(question(text, claimed, where))
            continue
        if by_layout(table.understood):
            continue
        if "near" in table.columns and _holds_chains(table, records, column):
            message = f"the column {text!r} holds chains of ends and is not read: each row is one pull, between its two ends"
            found.append(reading(text, message, where))
            continue
        field = suggestion(text, table.kind) or counted_in(text, table.kind)
        values = [value for row in records if not is_blank(value := table.sheet.value(row, column))]
        blank = not values and table.kind is TableKind.CABLES
        dates = bool(values) and all(isinstance(value, date | time | timedelta) for value in values)
        if not (_is_of_no_matter(table, column, text, field) or blank or dates):
            found += _may_be(table, column, text, field, answers)
    return found


def _holds_chains(table: FoundTable, records: Sequence[int], column: int) -> bool:
    """Whether ends with marks between stand in most cells of a column."""
    texts = [shown(value) for row in records if not is_blank(value := table.sheet.value(row, column))]
    return bool(texts) and 2 * sum(len(CHAIN_MARK.split(text)) > 1 for text in texts) > len(texts)


def _may_be(
    table: FoundTable, column: int, text: str, field: str | None, answers: Answers
) -> Iterator[Remark]:
    """What a column that is not read might be, or that another one is read in its place."""
    where = CellRef(table.sheet.name, table.heading_row, column)
    named = [name for name, _ in candidates(table.kind, text)]
    if field is None and "chain" in named and "chain" in table.columns:
        field = "chain"
    if field is not None and field not in table.columns:
        word = word_of(field)
        message = f"the column {text!r} is not read; if it is the {word}, write {word!r} in its heading or in a layout"
        if field in COUNTED:
            sentence = f"the column {text!r} is not read: is it the {word}?"
            one = column_question(table, column, sentence, (field,))
            yield to_decide(one, text, answers, message=message)
        else:
            yield reading(text, message, where)
    elif field in named and (field in COUNTED or field == "chain"):
        read, word = table.understood.columns[field].header, word_of(field)
        yield reading(text, f"the column {text!r} is not read; {read!r} is read as the {word}", where)
    elif table.kind is TableKind.CABLES and not _is_note(text) and (missing := _missing_words(table)):
        message = f"the column {text!r} is not read; if it is one of {missing}, write that in its heading or in a layout"
        yield reading(text, message, where)


def _is_of_no_matter(table: FoundTable, column: int, text: str, field: str | None) -> bool:
    """Whether a heading plainly stands for something else: a price, a colour, a route that names no ends."""
    if field == "chain" and "chain" not in table.columns:
        return True
    if field == "quantity" and table.kind is TableKind.PULLS:
        return True  # all of them are 1
    if fold(text) in word_list("other_matter"):
        return True  # `Mount` is no slip of `Amount`
    return field not in COUNTED and field != "price" and not _OTHER_MATTERS.isdisjoint(fold(text).split())


def _is_of_the_office(table: FoundTable, text: str) -> bool:
    return any(language in OWN_LANGUAGES for _, language in candidates(table.kind, text))


CORES = "2"  # conductors of the bus's cable
_OF_WIRES = re.compile(r"\b(?:wires?|cond\w*|cores?|adern?|leiter|fils|hilos|fili|aders)\b")


def _claimed_twice(table: FoundTable, column: int, text: str) -> str:
    """What is to be asked where headings.json gives a field to one column and another one has it too; else nothing."""
    if not table.understood.languages:  # a layout says which it is
        return ""
    for field, language in candidates(table.kind, text):
        use = table.understood.columns.get(field)
        if (
            use is not None
            and use.column != column
            and (language in OWN_LANGUAGES or use.reason.endswith(OF_THE_OFFICE))
        ):
            own = text if language in OWN_LANGUAGES else use.header
            return (
                f"{use.header!r} and {text!r} both stand for the {word_of(field)}, {own!r} by headings.json: {use.header!r} "
                f"is read, {text!r} is not; correct headings.json or say in a layout which column it is"
            )
    return ""


def _counts_otherwise(
    table: FoundTable, records: Sequence[int], column: int, text: str
) -> tuple[str, tuple[str, ...], str] | None:
    """Of a column that says how much cable there is and is not read: the question, what it may be, what to do."""
    if table.kind not in (TableKind.PULLS, TableKind.COMBINED):
        return None
    length = table.understood.columns.get("length_m")
    named = said(text, table.kind)
    is_length = (
        length is not None
        and length.reason != BY_ANSWER
        and (
            heading(text).unit in ("ft", "m", "yd")
            or "part_length_m" in named
            or fold(text) in _INCHES
            or counted_in(text, table.kind) == "length_m"
        )
    )
    is_count = table.kind is TableKind.PULLS and "quantity" in {*named, *said(text, "devices")}
    if (not is_length and not is_count) or not _PRICES.isdisjoint(fold(text).split()):
        return None
    values = [(table.sheet.value(row, column), row) for row in records]
    numbers = [(value, row) for value, row in values if any(map(str.isdigit, shown(value)))]
    counts = {shown(value).strip() for value, _ in numbers}
    cores = counts == {CORES} and _OF_WIRES.search(fold(text))  # the two conductors of each cable
    if is_count and counts - {"1"} and not cores:
        sentence = f"the column {text!r} is not read, each row is one pull: does it count cables?"
        return (
            sentence,
            (),
            f"the column {text!r} is not read: each row is one pull; give each cable a row of its own",
        )
    if (
        is_length
        and length
        and _adds_share(text, [(v, table.sheet.value(row, length.column)) for v, row in numbers])
    ):
        return None
    amounts = [
        (value, row) for value, row in numbers if not shown(value).strip()[:1].isalpha()
    ]  # `E-201` is none
    if is_length and length and any(value != table.sheet.value(row, length.column) for value, row in amounts):
        sentence = f"the column {text!r} is not read, {length.header!r} is taken as the length of a pull: what is {text!r}?"
        return (
            sentence,
            ("length_m",),
            (
                f"the column {text!r} is not read: {length.header!r} is taken as the length of a pull; if it is not the "
                "whole length, write that there, or say in a layout which column holds it"
            ),
        )
    return None


def _adds_share(text: str, pairs: Sequence[tuple[object, object]]) -> bool:
    """Whether a heading states a share, `Order ft (+8%)`, and each value is the length with it, to the next whole one."""
    stated = _SHARE.search(text)
    if stated is None or not pairs:
        return False
    factor = 1 + float(stated[1].replace(",", ".")) / 100
    return all(
        isinstance(value, float) and isinstance(length, float) and abs(value - length * factor) <= 1
        for value, length in pairs
    )


def counted_in(text: str, kind: TableKind) -> str | None:
    """The counted field that one word of a longer heading names."""
    words_in = set(fold(text).split())
    fields = _fields_of(kind)
    return next((field for field, own in COUNTED.items() if field in fields and own & words_in), None)


@cache
def _fields_of(kind: TableKind) -> tuple[str, ...]:
    return tuple(dict.fromkeys(field for fields in vocabulary()[kind].values() for field, _ in fields))


def _is_note(text: str) -> bool:
    """Whether a heading stands for remarks, which no table of cable types needs."""
    return any(name == "note" for name, _ in candidates("pulls", text))


def _missing_words(table: FoundTable) -> str:
    missing = (field for field in _fields_of(table.kind) if field not in table.columns)
    return ", ".join(word_of(field) for field in missing)
