"""Which tables list the pulls, the devices and what they draw: each choice is a whole reading of a table."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.intake.asking.lists import ways_of_devices, ways_of_powers
from auditor.intake.asking.offered import (
    forms_of,
    is_fed,
    is_kind,
    is_on,
    is_read_so,
    names_beside,
    once,
    question_of,
)
from auditor.intake.asking.ways import ways_of_pulls
from auditor.intake.document import Document
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.kinds import BY_ANSWER
from auditor.intake.roles.tables.form import Form
from auditor.intake.said import (
    LIST_OF_DEVICES,
    LIST_OF_POWERS,
    LIST_OF_PULLS,
    SPLICES,
    choices,
    to_decide,
)
from auditor.job.model import Choice, Job, Question, TableKind

NONE, NOWHERE = "none of them", "it is not stated"
_BESIDE = (TableKind.CABLES, TableKind.CONTROLLERS, TableKind.LEGEND)
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


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
    everything = forms_of(document)
    found = [
        (form, way)
        for form in once(everything)
        if not is_kind(form, *_BESIDE) and is_on(form, sheet)
        for way in ways_of_pulls(form.columns, names_beside(form, everything))
        if not is_read_so(form, way.given)
    ]
    return question_of(LIST_OF_PULLS, sentence, found, everything, rest)


def list_of_devices(document: Document, sheet: str = "") -> Question | None:
    """Which table lists the devices that the pulls end at; None: no table names them."""
    found = []
    everything = forms_of(document)
    for form in once(everything):
        if is_kind(form, TableKind.CABLES, TableKind.REELS) or not is_on(form, sheet):
            continue
        for way in ways_of_devices(form.columns, document.ends):
            schedule = is_kind(form, *_SCHEDULES)
            own = way.given.columns
            if is_read_so(form, way.given) or (schedule and (len(own) < 2 or not is_fed(form, own["tag"]))):
                continue
            found.append((form, way))
    rest = choices((SPLICES, "the ends are joints without a device, no device is judged"))
    sentence = "which table lists the devices that the pulls end at, and where does what they draw stand?"
    return question_of(LIST_OF_DEVICES, sentence, found, everything, rest)


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


def _list_of_powers(document: Document) -> Question | None:
    """Which table or column says what the devices draw; None: none may."""
    everything = forms_of(document)
    kinds = frozenset().union(*map(_kinds_in, everything))
    found = []
    for form in once(everything):
        if is_kind(form, TableKind.CABLES, TableKind.CONTROLLERS, TableKind.REELS):
            continue
        ways = [way for way in ways_of_devices(form.columns, document.ends) if "power_w" in way.given.columns]
        if is_kind(form, *_SCHEDULES):
            ways = [way for way in ways if is_fed(form, way.given.columns["tag"])]
        else:
            ways += ways_of_powers(form.columns, kinds)
        found += [(form, way) for way in ways if not is_read_so(form, way.given)]
    rest = choices((NOWHERE, "no power is judged"))
    return question_of(
        LIST_OF_POWERS,
        "nothing that is read says what the devices draw: where does it stand?",
        found,
        everything,
        rest,
    )


def _kinds_in(form: Form) -> frozenset[str]:
    """The kinds of the devices that a table lists, without their spelling."""
    if form.understood is None or is_kind(form, TableKind.LEGEND):
        return frozenset()
    found: frozenset[str] = frozenset()
    for name, use in form.understood.columns.items():
        if name in ("type", "description"):
            found |= form.columns[use.column].keys
        elif name.startswith("kind "):
            found |= {spelling(use.header)}
    return found


def _has_powers(form: Form) -> bool:
    """Whether a list of devices has a column of powers, told by an answer or not."""
    uses = form.understood.columns if form.understood is not None else {}
    own = uses.keys() & {"power_w", "total_power_w"}
    return is_kind(form, TableKind.DEVICES, TableKind.COMBINED) and any(
        uses[n].reason != BY_ANSWER for n in own
    )
