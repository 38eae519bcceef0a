"""Which pulls are laid but not joined, as their status or a clear note says."""

import re
from collections import defaultdict
from collections.abc import Sequence

from auditor.intake.formats.cells import Value
from auditor.intake.grammar import values as grammar
from auditor.intake.grammar.numbers import plain
from auditor.intake.grammar.units import NO, YES
from auditor.intake.records.columns import Columns
from auditor.intake.said import asked, choices, chosen, to_decide
from auditor.intake.words import fold, matcher, word_list
from auditor.job.model import Remark

LANDED, SPARE = "landed", "a spare return"  # answers
_CLAUSE = re.compile(r"\s*[,;:()\n]\s*|\.(?:\s+|$)|\s+[-/+]\s+")
_NOTHING = frozenset({"-", "--", "---"})
_REVISION = re.compile(
    r"(?:rev|revision|issue|index|indice|ind)\s?(?:\d{1,2}|[a-z])"
)  # which issue has the row


def landed(columns: Columns, ids: Sequence[str]) -> list[bool]:
    """For each pull whether it is joined; False: a spare return, laid and left open.

    An end that says that the cable is a spare, in place of a name, unlands it. A status counts as a whole;
    one that is not known is remarked for review and taken as landed. A note counts where a clause of it is a
    clear statement, and each pull that it unlands is remarked.
    """
    states: list[bool | None] = _by_status(columns)
    if "far" in columns:
        spare = [_says_spare(text) for text in columns.texts("far")]
        states = [False if open_ else state for open_, state in zip(spare, states, strict=True)]
    if "note" in columns:
        _by_note(columns, ids, states)
    return [state is not False for state in states]


def _by_status(columns: Columns) -> list[bool | None]:
    """True: says landed; False: says it is not; None: says nothing that is known."""
    states: list[bool | None] = [None] * len(columns.rows)
    if "status" not in columns:
        return states
    header = columns.table.understood.columns["status"].header
    known: dict[Value, bool | None] = {}
    unknown: dict[str, list[int]] = defaultdict(list)
    for index, value in enumerate(columns.raw("status")):
        if grammar.is_blank(value):
            continue
        if value not in known:
            known[value] = _state(header, value)
        states[index] = known[value]
        if states[index] is None and fold(grammar.words(value)) not in word_list("others"):
            unknown[grammar.words(value)].append(index)
    for text, rows in () if fold(header) in word_list("purpose") else unknown.items():
        quoted, many = repr(text[:60]), len(rows) > 1
        said = f"the status {quoted}{f' of {len(rows)} rows' if many else ''} is not known"
        one = asked(
            "status",
            (header, text),
            f"{said}: is such a pull landed?",
            choices(
                (LANDED, f"pulls with the status {quoted} count"),
                (SPARE, f"pulls with the status {quoted} are laid and not joined"),
            ),
            columns.where(rows[0], "status"),
        )
        message = (
            f"{said}, the {'pulls are' if many else 'pull is'} taken as landed; "
            "write 'landed' or 'spare return'"
        )
        columns.remarks.append(to_decide(one, f"status {text[:60]}", columns.answers, message=message))
        if chosen(one, columns.answers) == SPARE:
            for index in rows:
                states[index] = False
    return states


def _state(header: str, value: Value) -> bool | None:
    text = " ".join(plain(grammar.shown(value)).casefold().split())
    folded_header = fold(header)
    spare_column = matcher("spare").search(folded_header) is not None
    if spare_column or matcher("landed").search(folded_header) or text not in NO:
        if text in YES:
            return not spare_column
        if text in NO:
            return spare_column
    parts = [part for part in _CLAUSE.split(text.rstrip(".")) if part]
    if parts and _is_statement(parts[0]):
        return False
    return True if text in _NOTHING or _says_landed(fold(text)) else None


def _says_spare(end: str | None) -> bool:
    """Whether an end is no name but says that the cable is left open: `SPARE (coiled at the ceiling)`."""
    clauses = [part for part in _CLAUSE.split(plain(end).casefold()) if part] if end else []
    return bool(clauses) and _is_statement(clauses[0])


def _is_statement(clause: str) -> bool:
    """Whether a whole clause says that a pull is a spare or not joined; `future` may be another job's."""
    text = fold(clause)
    return text in word_list("unjoined") or (text in word_list("spare") and text not in word_list("others"))


def _says_landed(text: str) -> bool:
    known = text in word_list("landed") or text in word_list("current")
    return known or _REVISION.fullmatch(text) is not None


def _by_note(columns: Columns, ids: Sequence[str], states: list[bool | None]) -> None:
    says: dict[Value, bool | None] = {"": None}
    for index, value in enumerate(columns.raw("note")):
        if value not in says:
            says[value] = _note_says(plain(grammar.shown(value)))
        said = says[value]
        if said is None or states[index] is False:
            continue
        quoted = repr(grammar.words(value)[:60])
        if said:
            level, message = "note", f"{ids[index]} is taken as landed, though its note says {quoted}"
            message += "; if it is laid but not joined, write 'spare return' as its status"
        else:
            level = "review" if states[index] else "note"
            message = f"{ids[index]} is taken as laid but not joined: its note says {quoted}"
            message += ", its status that it is landed; write one of the two" if states[index] else ""
            states[index] = False
        where = columns.where(index, "note")
        columns.remarks.append(
            Remark(
                rule="reading" if level == "note" else "unreadable-value",
                level=level,
                subject=ids[index],
                message=message,
                where=where,
            )
        )


def _note_says(text: str) -> bool | None:
    """False: laid but not joined; True: such words stand there in passing; None: nothing of it."""
    clauses = [part.strip() for part in _CLAUSE.split(text) if part.strip()]
    folded = fold(text)
    openings = (matcher("unjoined"), matcher("unjoined_opening"))
    if any(map(_is_statement, clauses)) or any(words.match(folded) for words in openings):
        return False
    return True if any(words.search(folded) for words in openings) or "spare return" in folded else None
