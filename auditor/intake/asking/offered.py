"""The tables of a workbook that a question can offer, and a question of the likeliest ways to read them."""

from collections.abc import Iterable, Iterator, Sequence

from auditor.intake.asking.texts import alike, answer_of, explained
from auditor.intake.asking.ways import Way
from auditor.intake.document import Document
from auditor.intake.roles.given import Given
from auditor.intake.roles.tables.form import Form, form_of, single_names
from auditor.intake.said import MOST_CHOICES, asked, choices
from auditor.intake.statements.facts import VOID
from auditor.job.model import CellRef, Choice, Question, TableKind


def forms_of(document: Document) -> list[Form]:
    """The tables of a workbook that hold, sheets without one as one each."""
    void = list(document.facts.of(VOID))
    bare = [
        table for table in document.bare if not any(f.holds(table.sheet.name, table.first_row) for f in void)
    ]
    return [*document.forms, *(form_of([table]) for table in bare)]


def question_of(
    what: str,
    sentence: str,
    found: Sequence[tuple[Form, Way]],
    forms: Sequence[Form],
    rest: Sequence[Choice],
) -> Question | None:
    """The question whose choices are the likeliest ways; None: there is no way.

    Parameters
    ----------
    found : ways to read tables
    forms : all tables of the workbook
    rest : the answers behind the ways
    """
    best = sorted(found, key=lambda one: -one[1].score)
    offered = list(_choices(best, forms))[: MOST_CHOICES - len(rest)]
    if not offered:
        return None
    first = best[0][0].tables[0]
    row = first.header_rows[-1] if first.header_rows else first.first_row
    where = CellRef(first.sheet.name, row, first.first_column)
    return asked(what, (), sentence, (*offered, *rest), where)


def is_on(form: Form, sheet: str) -> bool:
    """Whether a table stands on a sheet; on any, where none is named."""
    return not sheet or any(table.sheet.name == sheet for table in form.tables)


def is_kind(form: Form, *kinds: TableKind) -> bool:
    """Whether a table is understood as one of these."""
    return form.understood is not None and form.understood.kind in kinds


def is_read_so(form: Form, given: Given) -> bool:
    """Whether a table is already read in this way."""
    if form.understood is None:
        return False
    columns = {name: use.column for name, use in form.understood.columns.items()}
    return given.roles_in(form.understood.kind).items() <= columns.items()


def is_fed(form: Form, column: int) -> bool:
    """Whether a column of a schedule names what its pulls lead to."""
    uses = form.understood.columns if form.understood is not None else {}
    return any(name in uses and uses[name].column == column for name in ("far", "tag"))


def once(forms: Iterable[Form]) -> Iterator[Form]:
    """The forms, of tables without headings that are read alike the first."""
    seen: set[int] = set()
    everything = [table for form in forms for table in form.tables]
    for form in forms:
        if id(form.tables[0]) not in seen:
            seen |= {id(table) for table in alike(form.tables[0], everything)}
            yield form


def _choices(best: Iterable[tuple[Form, Way]], forms: Sequence[Form]) -> Iterator[Choice]:
    seen: set[str] = set()
    everything = [table for form in forms for table in form.tables]
    for form, way in best:
        tables = alike(form.tables[0], everything)
        answer = answer_of(tables, way.given)
        if answer not in seen:
            seen.add(answer)
            yield from choices((answer, explained(tables, way.given)))


def names_beside(form: Form, forms: Sequence[Form]) -> frozenset[str]:
    """Names that stand once each in a column of another table."""
    return frozenset().union(*(single_names(other) for other in forms if other is not form))
