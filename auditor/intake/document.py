"""A workbook taken apart: what is read of it, step by step."""

from dataclasses import dataclass, field

from auditor.intake.blocks.tables import Line, TableBlock
from auditor.intake.formats.cells import Book
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.tables.form import Form
from auditor.intake.rows.part import Part
from auditor.intake.said import NO_ANSWERS, Answers
from auditor.intake.statements.facts import Facts
from auditor.intake.statements.labels import Labelled
from auditor.job.model import Remark, TitleBlock


@dataclass(slots=True, kw_only=True)
class Document:
    """What the steps of the reading have found so far."""

    book: Book
    file: str
    answers: Answers = field(default_factory=lambda: NO_ANSWERS)  # to questions that an earlier reading asked
    lines: list[Line] = field(default_factory=list)
    blocks: list[TableBlock] = field(default_factory=list)
    bare: list[TableBlock] = field(default_factory=list)  # sheets without a table, each as one
    forms: list[Form] = field(default_factory=list)  # the tables that hold, those of one form together
    told: frozenset[str] = frozenset()  # the lists of which an answer says what holds them
    facts: Facts = field(default_factory=Facts)
    labels: Labelled = field(default_factory=Labelled)
    title_block: TitleBlock = field(default_factory=TitleBlock)
    tables: list[FoundTable] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    ends: frozenset[str] = frozenset()  # names at which pulls end, without their spelling
    remarks: list[Remark] = field(default_factory=list)
    part: str | None = None  # which job of a workbook that holds several
    open_ends: set[str] = field(default_factory=set)  # ends whose feed a question asks for
