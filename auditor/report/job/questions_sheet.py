"""The sheet on which a workbook's open questions are answered."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from auditor.job.answers import (
    ANSWER_HEADING,
    RECORD_HEADING,
    SENTENCE_HEADING,
    THIS_FOLDER,
    THIS_WORKBOOK,
    USE_HEADING,
    Answer,
    RowRecord,
)
from auditor.report.page.look import Block, Cell, Column, Lines, Link, Look, letter, link_to, quoted
from auditor.report.page.page import Page
from auditor.report.words import capital, plural
from auditor.results.added_sheets import QUESTIONS
from auditor.results.audit_result import Audit, ChoiceResult, QuestionResult

MOST_SHOWN = 5  # open questions at once; the rest is counted
MOST_CHOICES = 5
_HIDDEN_WIDTH = 12
_HEAD = 4  # row of the headings, from 0
_SHOWN = (
    (Column("No.", "count"), 5),
    (Column(SENTENCE_HEADING, "wrap"), 36),
    (Column("Where"), 15),
    (Column(ANSWER_HEADING, "answer"), 27),
    (Column(USE_HEADING, "answer"), 15),
    (Column("What each answer leads to", "wrap"), 52),
    (Column("What became of the answer", "wrap"), 22),
)
_CHOICES = tuple(Column(f"Answer {number}") for number in range(1, MOST_CHOICES + 1))
_COLUMNS = (*(column for column, _ in _SHOWN), *_CHOICES, Column(RECORD_HEADING))
_WIDTHS = (*(width for _, width in _SHOWN), *[_HIDDEN_WIDTH] * (len(_COLUMNS) - len(_SHOWN)))
_ANSWER, _USE, _FIRST_CHOICE = 3, 4, len(_SHOWN)
_TOLD = (
    f"{QUESTIONS.sign} in the column «{ANSWER_HEADING}», save this workbook where it is, and check the folder "
    "again: it is then read so. Nothing else need be changed, and no answer is lost."
)


def questions_of(audits: Iterable[Audit]) -> list[QuestionResult]:
    """The questions of all jobs of a workbook, each once: open ones, those that wait, answered ones."""
    found: dict[str, QuestionResult] = {}
    for audit in audits:
        for one in audit.questions:
            if one.id not in found or found[one.id].answered is not None:
                found[one.id] = one
    return sorted(found.values(), key=lambda one: (one.answered is not None, one.waits))


def has_questions(audits: Sequence[Audit]) -> bool:
    """Whether there is anything to ask, or an answer to keep."""
    return any(audit.questions or audit.left_answers for audit in audits)


def questions_sheet(sheet: Any, look: Look, audits: Sequence[Audit]) -> None:
    """Writes the sheet: a row each question, those first that settle most, then those that were answered."""
    page = Page(sheet, look, _WIDTHS, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title(QUESTIONS.title_of(_job_name(audits)))
    page.text(1, 0, _TOLD)
    rows, more = _rows(audits)
    if more:
        page.text(
            2, 0, f"{plural(more, 'more question')} {'waits' if more == 1 else 'wait'} for these answers."
        )
    block = page.table(_HEAD, _COLUMNS, rows)
    _hide(sheet, look)
    sheet.autofilter(block.head, 0, block.last, len(_COLUMNS) - 1)
    _validate(sheet, block)
    page.finish(block.last)


def _job_name(audits: Sequence[Audit]) -> str:
    """Of several jobs what their names have before the part."""
    first = audits[0]
    return first.job.removesuffix(f", {first.part}") if first.part else first.job


def _rows(audits: Sequence[Audit]) -> tuple[list[tuple[Cell, ...]], int]:
    """The rows of the table, and how many open questions it does not show."""
    questions = questions_of(audits)
    open_ = [one for one in questions if one.answered is None]
    asked = [one for one in open_ if not one.waits or _typed_text(one)]
    shown = asked[:MOST_SHOWN] + [one for one in asked[MOST_SHOWN:] if _typed_text(one)]
    answered = [one for one in questions if one.answered is not None]
    left = {each.id: each for audit in audits for each in audit.left_answers}
    rows = [_question_row(number, one) for number, one in enumerate((*shown, *answered), 1)]
    rows += [_left_row(number, each) for number, each in enumerate(left.values(), len(rows) + 1)]
    return rows, len(open_) - len(shown)


def _typed_text(one: QuestionResult) -> bool:
    return one.typed is not None and bool(one.typed.text or one.typed.trouble)


def _question_row(number: int, one: QuestionResult) -> tuple[Cell, ...]:
    answers = tuple(choice.answer for choice in one.choices)
    text = one.typed.text if one.typed else one.answered or ""
    where = link_to(one.where) if one.where else None
    leads_to = Lines(tuple(_choice_lines(one)))
    return _row(number, one.id, one.sentence, where, answers, one.typed, text, leads_to, _state(one))


def _left_row(number: int, answer: Answer) -> tuple[Cell, ...]:
    state = "Not asked any more; the answer is kept and not used."
    return _row(number, answer.id, answer.sentence, None, answer.choices, answer, answer.text, None, state)


def _row(
    number: int, id_: str, sentence: str, where: Link | None, choices: tuple[str, ...],
    answer: Answer | None, text: str, leads_to: Lines | None, state: str,
) -> tuple[Cell, ...]:  # fmt: skip
    source = answer.source if answer else ""
    record = RowRecord(
        id=id_,
        sentence=sentence,
        choices=choices,
        source=source,
        answer=text if source else "",
        set_aside=answer.set_aside if answer else (),
    )
    use = THIS_FOLDER if answer and answer.everywhere else THIS_WORKBOOK
    cells = (*choices, *[None] * MOST_CHOICES)[:MOST_CHOICES]
    return (number, capital(sentence), where, text or None, use, leads_to, state, *cells, record.text())


def _choice_lines(one: QuestionResult) -> Iterator[str]:
    """A line for each answer; the first that can be obeyed is how the workbook is read meanwhile."""
    best = next((each for each in one.choices if each.tried), None) if one.answered is None else None
    for each in one.choices:
        guess = " (best guess)" if each is best else ""
        yield f"{each.answer}{guess}: {_what_then(each)}"


def _what_then(choice: ChoiceResult) -> str:
    """What an answer leads to, without the answer itself at its beginning; the `no` of `no figure changes` is none."""
    told = choice.outcome or choice.leads_to
    if not choice.tried:
        return f"not to be answered here: {told}"
    return told.removeprefix(choice.answer).strip() if len(choice.answer.split()) > 1 else told


def _state(one: QuestionResult) -> str:
    if one.typed is not None and one.typed.trouble:
        return f"Not used: {one.typed.trouble}."
    if one.answered is None:
        return "To answer."
    source = one.typed.source if one.typed else ""
    return f"Used; it stands in {source}." if source else "Used."


def _hide(sheet: Any, look: Look) -> None:
    """The columns behind the shown ones hold what the lists and the next reading need."""
    sheet.set_column(_FIRST_CHOICE, len(_COLUMNS) - 1, _HIDDEN_WIDTH, look.muted, {"hidden": True})


def _validate(sheet: Any, block: Block) -> None:
    """The lists of answers: each row's own, also after the rows were sorted."""
    if block.last < block.first:
        return
    row = block.first + 1
    first, last = letter(_FIRST_CHOICE + 1), letter(_FIRST_CHOICE + MOST_CHOICES)
    own = f"=OFFSET(${first}{row},0,0,1,COUNTA(${first}{row}:${last}{row}))"
    told = {"error_title": ANSWER_HEADING, "error_message": "Choose one of the answers in the list."}
    answers = {"validate": "list", "source": own} | told
    sheet.data_validation(block.first, _ANSWER, block.last, _ANSWER, answers)
    uses = {"validate": "list", "source": [THIS_WORKBOOK, THIS_FOLDER]} | told
    sheet.data_validation(block.first, _USE, block.last, _USE, uses)


def questions_link(name: str, count: int) -> Link:
    """A link to the sheet, for the sheet «Audit»."""
    return Link(f"{plural(count, 'question')} to answer on the sheet «{name}»", f"internal:{quoted(name)}!A1")
