"""Answers to a doubt that say which table lists the pulls or the devices, and in which columns."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from auditor.intake.fit.doubt import OTHER_ENDS, OTHER_LIST, Doubt
from auditor.intake.said import LIST_OF_DEVICES, LIST_OF_PULLS, MOST_CHOICES, choices
from auditor.job.model import Choice, Question

Further = Callable[
    ..., Question | None
]  # what is asked, and of which sheet -> the question, where it has an answer

_LISTS = {OTHER_ENDS: LIST_OF_PULLS, OTHER_LIST: LIST_OF_DEVICES}
_OF_TABLES = ("unread-table-", "unread-cells-")  # questions what a whole table lists
_THEN = {LIST_OF_PULLS: "it is asked which columns hold the ends of each pull"}


def nothing_further(_: str, __: str = "") -> Question | None:
    """Of a job without its workbook nothing more can be asked."""
    return None


def with_lists(doubt: Doubt, further: Further, told: frozenset[str]) -> Doubt:
    """The doubt with other ways to read the tables as answers.

    Parameters
    ----------
    told : the lists of which an answer has said what holds them: the doubt is in what that gave, and one of its own
    """
    one = doubt.question
    ways = {what: _ways(further(what)) for what in _LISTS.values() if what not in told and _asks(one, what)}
    room = MOST_CHOICES - sum(_LISTS.get(choice.leads_to) != LIST_OF_DEVICES for choice in one.choices)
    devices = ways.get(LIST_OF_DEVICES, ())[: max(1, room - 1)]
    pulls = ways.get(LIST_OF_PULLS, ())[: room - len(devices)]
    own = [each for choice in one.choices for each in _leading(choice, devices, pulls)]
    name = f"{one.id}-again" if told else one.id
    return replace(doubt, question=replace(one, id=name, choices=tuple(own)))


def with_ways(one: Question, further: Further) -> Question:
    """What cells are that are not read, with the ways to read the tables of their sheet as answers."""
    sheet = one.where.sheet if one.where else ""
    if not one.id.startswith(_OF_TABLES):
        return one
    devices, pulls = (_ways(further(what, sheet)) for what in (LIST_OF_DEVICES, LIST_OF_PULLS))
    kept = [choice for choice in one.choices if choice.tried]
    room = MOST_CHOICES - len(kept)
    first = devices[: room - min(len(pulls), room // 2)]
    ways = (*first, *pulls[: room - len(first)])
    return replace(one, choices=(*ways, *kept)) if ways and sheet else one


def _asks(one: Question, what: str) -> bool:
    return any(_LISTS.get(choice.leads_to) == what for choice in one.choices if not choice.tried)


def _ways(list_: Question | None) -> tuple[Choice, ...]:
    """The choices of a list's question that say how a table is read."""
    return tuple(each for each in list_.choices if ": " in each.answer) if list_ is not None else ()


def _leading(choice: Choice, devices: Sequence[Choice], pulls: Sequence[Choice]) -> Sequence[Choice]:
    """The likeliest ways to read a table in place of an answer; behind those of the ends one that asks for the others."""
    what = "" if choice.tried else _LISTS.get(choice.leads_to, "")
    if what == LIST_OF_DEVICES and (devices or pulls):
        return devices
    if what == LIST_OF_PULLS and pulls:
        return (*pulls, *choices((choice.answer, _THEN[what])))
    return (choice,)


def list_of(doubt: Doubt, answer: str, further: Further) -> Question | None:
    """The question that an answer leads to; None: it settles the doubt."""
    choice = next(each for each in doubt.question.choices if each.answer == answer)
    what = next((list_ for list_, then in _THEN.items() if choice.leads_to == then), None)
    return further(what) if what is not None else None
