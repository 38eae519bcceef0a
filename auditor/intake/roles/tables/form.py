"""Tables of one form, their columns over all of them, and what they were understood as."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from auditor.intake.blocks.tables import TableBlock, title_above
from auditor.intake.names.ranges import each_tag
from auditor.intake.roles.drawn import columns_of_drawing, understood_drawing
from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.evidence import Ties
from auditor.intake.roles.first_look import may_be_record
from auditor.intake.roles.given import Given
from auditor.intake.roles.kinds import ColumnUse, Understood
from auditor.intake.roles.profiles import ColumnProfile, profiles_of
from auditor.intake.roles.shapes import shape_of_form
from auditor.intake.roles.steps import with_steps_gathered
from auditor.intake.words import said
from auditor.job.model import TableKind


@dataclass(slots=True)
class Form:
    """Tables of one form, their columns over all of them, and what they were understood as."""

    tables: list[TableBlock]
    columns: dict[int, ColumnProfile]
    pair: EndsPair | None = None
    understood: Understood | None = None
    grid: Understood | None = None  # what it is as one of two grids that belong together
    may_be: list[Understood] = field(default_factory=list)  # other kinds that it could be
    given: Given | None = None  # what an answer says of it

    @property
    def titles(self) -> list[str]:
        """The names of the sheets, and the texts that stand alone right above the tables."""
        above = (title_above(table) for table in self.tables)
        return [table.sheet.name for table in self.tables] + [text for text in above if text]


def shaped(form: Form, ties: Ties) -> Understood | None:
    return form.grid or shape_of_form(form.columns, ties, of_ends=form.pair is not None)


def form_of(tables: list[TableBlock]) -> Form:
    """Tables of one form with their columns, before anything is understood."""
    if tables[0].drawing is not None:
        return Form(tables, columns_of_drawing(tables[0]), grid=understood_drawing(tables[0]))
    rows = [
        [row for row in range(table.first_row, table.last_row + 1) if may_be_record(table, row)]
        for table in tables
    ]
    return Form(tables, with_steps_gathered(profiles_of(tables, rows)))


def single_names(form: Form) -> frozenset[str]:
    """Names that stand once each in a column: what may be the tags of a list."""
    found: set[str] = set()
    for column in form.columns.values():
        says_tag = bool(column.header) and said(column.header).get("tag", 0.0) >= 0.6
        numbers = column.quantities > 0.9 and (not says_tag or column.counts_rows or column.unit is not None)
        named = column.with_digits > 0.5 or (says_tag and column.distinct == 1.0)
        if column.distinct > 0.95 and column.names > 0.8 and named and not numbers:
            found |= column.keys
    return frozenset(found)


def kind_of(form: Form) -> TableKind | None:
    return form.understood.kind if form.understood is not None else None


def columns_of(form: Form) -> Mapping[str, ColumnUse]:
    return form.understood.columns if form.understood is not None else {}


def tag_columns(form: Form) -> list[ColumnProfile]:
    """The columns of a list that hold its tags: one, or those of a matrix."""
    return [
        form.columns[use.column]
        for name, use in columns_of(form).items()
        if name == "tag" or name.startswith("kind ")
    ]


def single_tags(column: ColumnProfile) -> list[str]:
    """The names of a column, also those of cells that hold several."""
    return [tag for text in column.texts for tag in each_tag(text)]
