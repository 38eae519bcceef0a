"""The questions which table lists the pulls, and how they are answered: each choice is a whole reading of a table."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from auditor.intake.asking.texts import answer_of, explained, given_by
from auditor.intake.asking.ways import Way, ways_of_pulls
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.roles.assign import Form, single_names
from auditor.intake.roles.given import Given
from auditor.intake.said import MOST_CHOICES, Answers, asked, choices, reading
from auditor.job.model import CellRef, Choice, Question, Remark, TableKind

LIST_OF_PULLS = "list-of-pulls"
NONE = "none of them"
_ABOUT: Mapping[str, TableKind] = {LIST_OF_PULLS: TableKind.PULLS}


def question_of(what: str) -> Question:
    """A question without its choices: of one kind there is one in a workbook, whatever its sheets are called."""
    return asked(what, (), "", (), None)


def given_of(answers: Answers, blocks: Sequence[TableBlock]) -> dict[int, Given]:
    """id of a table -> what the answers say of it."""
    found: dict[int, Given] = {}
    for what, kind in _ABOUT.items():
        answer = answers.get(question_of(what).id)
        if answer:
            found |= given_by(answer, blocks, kind)
    return found


def notes_of(given: Mapping[int, Given], blocks: Iterable[TableBlock]) -> Iterator[Remark]:
    """A note of each table that is read as an answer says."""
    for block in blocks:
        if id(block) in given:
            where = CellRef(block.sheet.name, block.first_row, block.first_column)
            message = f"{explained([block], given[id(block)])}. Answered"
            yield reading(block.sheet.name, message, where)


def list_of_pulls(
    forms: Sequence[Form], everything: Sequence[Form], *, rest: Sequence[Choice]
) -> Question | None:
    """Which table lists the pulls, and in which columns; None: no table can be read as one.

    Parameters
    ----------
    forms : the tables that may list them
    everything : all tables of the workbook
    rest : the answers behind the ways to read them
    """
    found = [(form, way) for form in forms for way in ways_of_pulls(form.columns, _names_beside(form, everything))]
    best = sorted(found, key=lambda one: -one[1].score)
    offered = list(_choices(best))[: MOST_CHOICES - len(rest)]
    if not offered:
        return None
    sheets = list(dict.fromkeys(form.tables[0].sheet.name for form, _ in best))
    first = best[0][0].tables[0]
    where = CellRef(first.sheet.name, first.header_rows[-1] if first.header_rows else first.first_row, first.first_column)
    sentence = (
        f"no table is understood as the list of pulls, on {', '.join(map(repr, sheets[:6]))}: where does each pull begin "
        "and end?"
    )
    return asked(LIST_OF_PULLS, (), sentence, (*offered, *rest), where)


def _choices(best: Iterable[tuple[Form, Way]]) -> Iterator[Choice]:
    seen: set[str] = set()
    for form, way in best:
        answer = answer_of(form.tables, way.given)
        if answer not in seen:
            seen.add(answer)
            yield from choices((answer, explained(form.tables, way.given)))


def _names_beside(form: Form, forms: Sequence[Form]) -> frozenset[str]:
    return frozenset().union(*(single_names(other) for other in forms if other is not form))
