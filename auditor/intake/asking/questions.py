"""The questions which table lists the pulls, and how they are answered: each choice is a whole reading of a table."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from auditor.intake.asking.lists import ways_of_devices, ways_of_powers
from auditor.intake.asking.texts import alike, answer_of, explained, given_by
from auditor.intake.asking.ways import Way, ways_of_pulls
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.document import Document
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.assign import Form, form_of, single_names
from auditor.intake.roles.given import Given
from auditor.intake.roles.kinds import BY_ANSWER
from auditor.intake.said import (
    LIST_OF_DEVICES,
    LIST_OF_POWERS,
    LIST_OF_PULLS,
    MOST_CHOICES,
    SPLICES,
    Answers,
    asked,
    choices,
    reading,
    to_decide,
)
from auditor.intake.statements.facts import VOID
from auditor.job.model import CellRef, Choice, Job, Question, Remark, TableKind

NONE, NOWHERE = "none of them", "it is not stated"
_BESIDE = (TableKind.CABLES, TableKind.CONTROLLERS, TableKind.LEGEND)
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


def given_of(answers: Answers, blocks: Sequence[TableBlock]) -> dict[int, Given]:
    """id of a table -> what the answers say of it, whichever question they answer."""
    found: dict[int, Given] = {}
    for _, answer in sorted(answers.items()):
        for key, own in given_by(answer, blocks).items():
            found[key] = _joined(found[key], own) if key in found else own
    return found


def lists_in(given: Mapping[int, Given]) -> frozenset[str]:
    """The lists of which answers say what holds them."""
    devices = {"tag", "power_w"}
    pulls = any(each.kind is TableKind.PULLS for each in given.values())
    listed = any(devices & each.columns.keys() for each in given.values())
    return frozenset(what for what, known in ((LIST_OF_PULLS, pulls), (LIST_OF_DEVICES, listed)) if known)


def _joined(one: Given, other: Given) -> Given:
    """What two answers say of one table: one that lists pulls and their devices is a list of pulls."""
    first, then = sorted((one, other), key=lambda given: given.kind is not TableKind.PULLS)
    if first.kind is then.kind:
        return first
    more = {name: c for name, c in then.columns.items() if name != "tag" and c not in first.columns.values()}
    return Given(kind=first.kind, columns={**more, **first.columns})


def notes_of(given: Mapping[int, Given], blocks: Iterable[TableBlock]) -> Iterator[Remark]:
    """A note of each table that is read as an answer says."""
    for block in blocks:
        if id(block) in given:
            where = CellRef(block.sheet.name, block.first_row, block.first_column)
            message = f"{explained([block], given[id(block)])}. Answered"
            yield reading(block.sheet.name, message, where)


def further(document: Document, what: str, sheet: str = "") -> Question | None:
    """The question that another answer leads to; None: no table can be read so.

    Parameters
    ----------
    sheet : the only one whose tables are offered
    """
    if what == LIST_OF_DEVICES:
        return list_of_devices(document, sheet)
    rest = choices((NONE, "no other columns hold them: the schedule is judged as it is read"))
    return list_of_pulls(
        document, "which columns hold the two ends of each pull, and its length?", rest=rest, sheet=sheet
    )


def list_of_pulls(
    document: Document, sentence: str, *, rest: Sequence[Choice], sheet: str = ""
) -> Question | None:
    """Which table lists the pulls, and in which columns; None: no table can be read as one.

    Parameters
    ----------
    rest : the answers behind the ways to read the tables
    """
    everything = _forms(document)
    found = [
        (form, way)
        for form in _once(everything)
        if not _is_kind(form, *_BESIDE) and _is_on(form, sheet)
        for way in ways_of_pulls(form.columns, _names_beside(form, everything))
        if not _is_read_so(form, way.given)
    ]
    return _question(LIST_OF_PULLS, sentence, found, everything, rest)


def list_of_devices(document: Document, sheet: str = "") -> Question | None:
    """Which table lists the devices that the pulls end at; None: no table names them."""
    found = []
    everything = _forms(document)
    for form in _once(everything):
        if _is_kind(form, TableKind.CABLES, TableKind.REELS) or not _is_on(form, sheet):
            continue
        for way in ways_of_devices(form.columns, document.ends):
            schedule = _is_kind(form, *_SCHEDULES)
            own = way.given.columns
            if _is_read_so(form, way.given) or (schedule and (len(own) < 2 or not _is_fed(form, own["tag"]))):
                continue
            found.append((form, way))
    rest = choices((SPLICES, "the ends are joints without a device, no device is judged"))
    sentence = "which table lists the devices that the pulls end at, and where does what they draw stand?"
    return _question(LIST_OF_DEVICES, sentence, found, everything, rest)


def with_powers_asked(job: Job, document: Document) -> Job:
    """The job with a question where its devices draw nothing that is known and a table may say it."""
    unknown = [device for device in job.devices if device.power_w is None]
    if 2 * len(unknown) <= len(job.devices) or any(map(_has_powers, document.forms)):
        return job
    one = _list_of_powers(document)
    if one is None:
        return job
    then = "What they draw is not judged until it is answered"
    return replace(job, remarks=(*job.remarks, to_decide(one, "power", document.answers, then)))


def _has_powers(form: Form) -> bool:
    """Whether a list of devices has a column of powers, told by an answer or not."""
    uses = form.understood.columns if form.understood is not None else {}
    own = uses.keys() & {"power_w", "total_power_w"}
    return _is_kind(form, TableKind.DEVICES, TableKind.COMBINED) and any(
        uses[n].reason != BY_ANSWER for n in own
    )


def _list_of_powers(document: Document) -> Question | None:
    """Which table or column says what the devices draw; None: none may."""
    everything = _forms(document)
    kinds = frozenset().union(*map(_kinds_in, everything))
    found = []
    for form in _once(everything):
        if _is_kind(form, TableKind.CABLES, TableKind.CONTROLLERS, TableKind.REELS):
            continue
        ways = [way for way in ways_of_devices(form.columns, document.ends) if "power_w" in way.given.columns]
        if _is_kind(form, *_SCHEDULES):
            ways = [way for way in ways if _is_fed(form, way.given.columns["tag"])]
        else:
            ways += ways_of_powers(form.columns, kinds)
        found += [(form, way) for way in ways if not _is_read_so(form, way.given)]
    rest = choices((NOWHERE, "no power is judged"))
    return _question(
        LIST_OF_POWERS,
        "nothing that is read says what the devices draw: where does it stand?",
        found,
        everything,
        rest,
    )


def _kinds_in(form: Form) -> frozenset[str]:
    """The kinds of the devices that a table lists, without their spelling."""
    if form.understood is None or _is_kind(form, TableKind.LEGEND):
        return frozenset()
    found: frozenset[str] = frozenset()
    for name, use in form.understood.columns.items():
        if name in ("type", "description"):
            found |= form.columns[use.column].keys
        elif name.startswith("kind "):
            found |= {spelling(use.header)}
    return found


def _forms(document: Document) -> list[Form]:
    """The tables of a workbook that hold, sheets without one as one each."""
    void = list(document.facts.of(VOID))
    bare = [
        table for table in document.bare if not any(f.holds(table.sheet.name, table.first_row) for f in void)
    ]
    return [*document.forms, *(form_of([table]) for table in bare)]


def _question(
    what: str,
    sentence: str,
    found: Sequence[tuple[Form, Way]],
    forms: Sequence[Form],
    rest: Sequence[Choice],
) -> Question | None:
    best = sorted(found, key=lambda one: -one[1].score)
    offered = list(_choices(best, forms))[: MOST_CHOICES - len(rest)]
    if not offered:
        return None
    first = best[0][0].tables[0]
    row = first.header_rows[-1] if first.header_rows else first.first_row
    where = CellRef(first.sheet.name, row, first.first_column)
    return asked(what, (), sentence, (*offered, *rest), where)


def _is_on(form: Form, sheet: str) -> bool:
    """Whether a table stands on a sheet; on any, where none is named."""
    return not sheet or any(table.sheet.name == sheet for table in form.tables)


def _is_kind(form: Form, *kinds: TableKind) -> bool:
    return form.understood is not None and form.understood.kind in kinds


def _is_read_so(form: Form, given: Given) -> bool:
    """Whether a table is already read in this way."""
    if form.understood is None:
        return False
    columns = {name: use.column for name, use in form.understood.columns.items()}
    return given.roles_in(form.understood.kind).items() <= columns.items()


def _is_fed(form: Form, column: int) -> bool:
    """Whether a column of a schedule names what its pulls lead to."""
    uses = form.understood.columns if form.understood is not None else {}
    return any(name in uses and uses[name].column == column for name in ("far", "tag"))


def _once(forms: Iterable[Form]) -> Iterator[Form]:
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


def _names_beside(form: Form, forms: Sequence[Form]) -> frozenset[str]:
    return frozenset().union(*(single_names(other) for other in forms if other is not form))
