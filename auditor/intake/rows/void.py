"""Rows that do not hold: by their status, their note, the section they stand in, or what a line says."""

import re
from collections.abc import Iterable, Sequence

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, shown, words
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.rows.part import Part
from auditor.intake.said import asked, choices, chosen, to_decide
from auditor.intake.statements.facts import PANEL, VOID, Fact, Facts
from auditor.intake.statements.sentences import panel_in_section
from auditor.intake.words import fold, matcher, word_list
from auditor.job.model import CellRef, Question, TableKind

_IN_BRACKETS = re.compile(r"[(\[]([^)\]]+)")
LONGEST_SECTION = 60  # characters
MOST_NAMED = 6  # rows that a question names
_CLAUSE = re.compile(r"\s[-–—]\s|[;,(]")
_JUDGED = (TableKind.PULLS, TableKind.COMBINED, TableKind.DEVICES)


def section_facts(part: Part) -> Iterable[Fact]:
    """What the section rows of a table say of the rows below them: their panel, or that they are void."""
    sheet = part.table.sheet
    sections = [
        row for row in sorted({*part.other.headings, *part.other.notes}) if not _heads_a_page(part, row)
    ]
    for number, row in enumerate(sections):
        text = _text(part, row)
        last = (
            next((later for later in sections[number + 1 :] if later > row + 1), part.table.last_row + 1) - 1
        )
        where = CellRef(sheet.name, row, part.table.first_column)
        aside = _IN_BRACKETS.search(text)
        voids_in_brackets = aside is not None and matcher("void").match(fold(aside[1])) is not None
        if not _begins_with(part, row, text) or (len(text) > LONGEST_SECTION and not voids_in_brackets):
            continue
        if voids_in_brackets or (matcher("void").search(fold(text)) and len(fold(text).split()) <= 6):
            yield Fact(kind=VOID, value=text, where=where, first_row=row, last_row=last)
        elif (panel := panel_in_section(text)) is not None:
            yield Fact(kind=PANEL, value=panel, where=where, first_row=row, last_row=last)


def _heads_a_page(part: Part, row: int) -> bool:
    """Whether the table's own headings stand in the row again."""
    cells = filled_cells(part.table.sheet.rows[row - 1], part.table.first_column, part.table.last_column)
    again = sum(words(value) in part.table.headers.get(column, "") for column, value in cells.items())
    return again > 1 and again * 2 > len(cells)


def _begins_with(part: Part, row: int, text: str) -> bool:
    """Whether the row's first cell holds its text: a number before it makes the row one of the records."""
    cells = part.table.sheet.rows[row - 1][part.table.first_column - 1 :]
    return next((words(value) for value in cells if not is_blank(value)), text) == text


def _text(part: Part, row: int) -> str:
    table = part.table
    cells = table.sheet.rows[row - 1][table.first_column - 1 :] if row <= len(table.sheet.rows) else []
    return next((words(value) for value in cells if isinstance(value, str) and value.strip()), "")


def leave_out_void(parts: Sequence[Part], facts: Facts) -> set[str]:
    """Leave void rows out, counted and named; ask where the pulls go on through a void device.

    Returns
    -------
    the ends of pulls of which it is asked whether they count
    """
    open_ends: set[str] = set()
    for part in parts:
        if part.table.kind in _JUDGED:
            _by_context(part, facts)
            _by_word_alone(part)
            _by_feed(part)
            open_ends |= _by_status(part)
    _by_note(parts)
    return open_ends


def _by_context(part: Part, facts: Facts) -> None:
    void = [fact for fact in facts.of(VOID) if fact.where.sheet == part.table.sheet.name]
    if void:
        _drop(
            part,
            {i for i, row in enumerate(part.rows) if any(f.holds(part.table.sheet.name, row) for f in void)},
        )


def _by_word_alone(part: Part) -> None:
    """Rows that hold a name and, in place of their data, a word that voids them: `S130 | NOT USED`."""
    table, columns = part.table, part.table.understood.columns
    keys = {columns[name].column for name in ("tag", "id", "revision") if name in columns}
    out = set()
    for index, row in enumerate(part.rows):
        cells = table.sheet.rows[row - 1][table.first_column - 1 : table.last_column]
        filled = [v for c, v in enumerate(cells, table.first_column) if c not in keys and not is_blank(v)]
        if filled and len(filled) <= 2 and says_void(filled[0]) and _is_short(words(filled[0])):
            out.add(index)
    _drop(part, out)


def _by_feed(part: Part) -> None:
    """Rows without a length that say in place of their feed that nothing feeds them: `not on the bus`."""
    if not part.has("near") or not part.has("length_m"):
        return
    rows = zip(part.values("near"), part.values("length_m"), strict=True)
    _drop(part, {i for i, (near, length) in enumerate(rows) if is_blank(length) and _says_none(near)})


def _says_none(value: Value) -> bool:
    """Whether a text in place of an end says that there is none: `not on the bus` has no digit and opens with a word for no."""
    if not isinstance(value, str) or any(map(str.isdigit, value)):
        return False
    opening = fold(value).split()
    return (
        1 < len(opening) <= 6
        and opening[0] in word_list("negation")
        and matcher("bus").search(fold(value)) is not None
    )


def _is_short(text: str) -> bool:
    """Whether a text has at most three words before a dash: `DELETED - number not reused`."""
    return len(fold(_CLAUSE.split(text)[0]).split()) <= 3


_OF_AN_ORDER = re.compile(
    r"^(?:wo|work order|order|issue|job|pull|cable)\s+(?=(?:was )?(?:cancel|delete|void|withdraw))"
)


def says_void(value: Value) -> bool:
    """Whether a short text opens with a word that voids its row."""
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_SECTION:
        return False
    folded = _OF_AN_ORDER.sub("", fold(value))
    match = matcher("void").match(folded)
    return match is not None and len(match[0]) > 1


def _by_status(part: Part) -> set[str]:
    open_ends: set[str] = set()
    for name in ("status", "revision", "scope"):  # `Phase` may head the status of the rows
        if part.has(name):
            values = part.values(name)
            void = {value for value in set(values) if says_void(value)}
            _drop(part, {i for i, value in enumerate(values) if value in void})
    if not part.has("status"):
        return open_ends
    use = part.table.understood.columns["status"]
    marked: dict[str, list[int]] = {}
    for index, value in enumerate(part.values("status")):
        if isinstance(value, str) and not is_blank(value) and fold(value) in word_list("others"):
            marked.setdefault(shown(value), []).append(index)
    out: set[int] = set()
    for text, indices in marked.items():
        one = _of_others(part, use, text, indices)
        part.remarks.append(to_decide(one, _name(part, indices[0]), part.answers, _COUNTED))
        answer = chosen(one, part.answers)
        out |= set(indices) if answer == "no" else set()
        ends = [part.values(name)[i] for name in ("near", "far") if part.has(name) for i in indices]
        open_ends |= {words(end) for end in ends} if answer is None else set()
    _drop(part, out)
    return open_ends


_COUNTED = "It is counted; delete the row or strike it through if it does not"


def _of_others(part: Part, use: ColumnUse, text: str, indices: Sequence[int]) -> Question:
    """Whether the rows that are marked as somebody else's belong to the job."""
    names = [_name(part, i) for i in indices]
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    many = len(names) > 1
    return asked(
        "of-others",
        (part.table.kind.value, use.header, text),
        f"{', '.join(names[:MOST_NAMED])}{more} {'are' if many else 'is'} marked {text!r}: "
        f"{'do they' if many else 'does it'} belong to this job?",
        choices(
            ("yes", f"what is marked {text!r} is counted"), ("no", f"what is marked {text!r} is left out")
        ),
        CellRef(part.table.sheet.name, part.rows[indices[0]], use.column),
    )


def _name(part: Part, index: int) -> str:
    for name in ("tag", "id", "far"):
        if part.has(name) and not is_blank(part.values(name)[index]):
            return words(part.values(name)[index])
    return f"row {part.rows[index]}"


def _by_note(parts: Sequence[Part]) -> None:
    """A note that voids a device or a pull holds where nothing goes on through it; else it is asked."""
    ends: dict[str, int] = {}
    for part in parts:
        if part.table.kind in (TableKind.PULLS, TableKind.COMBINED):
            for name in ("near", "far"):
                for value in part.values(name) if part.has(name) else ():
                    key = spelling(words(value))
                    ends[key] = ends.get(key, 0) + 1
    for part in parts:
        if part.table.kind not in _JUDGED or not part.has("note"):
            continue
        use = part.table.understood.columns["note"]
        out = set()
        for index, value in enumerate(part.values("note")):
            if not says_void(value):
                continue
            name = _name(part, index)
            if part.table.kind is TableKind.PULLS or not ends.get(spelling(name)):
                out.add(index)
                continue
            where = CellRef(part.table.sheet.name, part.rows[index], use.column)
            one = asked(
                "void-device",
                (part.table.sheet.name, name, shown(value)),
                f"{name} is marked {shown(value)!r} and pulls still lead to it: does it count?",
                choices(
                    ("yes", f"{name} is counted"), ("no", f"the row of {name} is left out, its pulls are not")
                ),
                where,
            )
            then = "Write a status, or delete its row and its pulls"
            part.remarks.append(to_decide(one, name, part.answers, then))
            out |= {index} if chosen(one, part.answers) == "no" else set()
        _drop(part, out)


def _drop(part: Part, out: set[int]) -> None:
    if out:
        part.other.void += [part.rows[i] for i in sorted(out)]
        part.take([i for i in range(len(part.rows)) if i not in out])
