"""Answers to a doubt that say which table lists the pulls or the devices, and in which columns."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from auditor.intake.fit.doubts import OTHER_ENDS, OTHER_LIST, Doubt
from auditor.intake.said import LIST_OF_DEVICES, LIST_OF_PULLS, MOST_CHOICES, choices
from auditor.job.model import Choice, Question

Further = Callable[[str], Question | None]  # what is asked -> the question, where it has an answer

_LISTS = {OTHER_ENDS: LIST_OF_PULLS, OTHER_LIST: LIST_OF_DEVICES}
_THEN = {LIST_OF_PULLS: "it is asked which columns hold the ends of each pull"}
_DEVICES_ALONE = "no-list-of-devices"


def nothing_further(_: str) -> Question | None:
    """Of a job without its workbook nothing more can be asked."""
    return None


def with_lists(doubt: Doubt, further: Further, told: frozenset[str]) -> Doubt:
    """The doubt with other ways to read the tables as answers.

    Parameters
    ----------
    told : the lists of which an answer has said what holds them: the doubt is in what that gave, and one of its own
    """
    one = doubt.question
    if one.id.startswith(_DEVICES_ALONE) and LIST_OF_DEVICES not in told:
        devices = further(LIST_OF_DEVICES)
        if devices is not None:
            return replace(doubt, question=devices)
    room = MOST_CHOICES - len(one.choices)
    own = tuple(each for choice in one.choices for each in _leading(choice, further, told, room))
    name = f"{one.id}-again" if told else one.id
    return replace(doubt, question=replace(one, id=name, choices=own))


def _leading(choice: Choice, further: Further, told: frozenset[str], room: int) -> Iterator[Choice]:
    """The likeliest ways to read a table in place of an answer, behind those of its ends one that asks for the others."""
    what = "" if choice.tried else _LISTS.get(choice.leads_to, "")
    list_ = further(what) if what and what not in told else None
    if list_ is None:
        yield choice
        return
    ways = [each for each in list_.choices if ": " in each.answer]
    if what == LIST_OF_DEVICES:
        yield ways[0]
        return
    yield from ways[:room]
    yield from choices((choice.answer, _THEN[what]))


def list_of(doubt: Doubt, answer: str, further: Further) -> Question | None:
    """The question that an answer leads to; None: it settles the doubt."""
    choice = next(each for each in doubt.question.choices if each.answer == answer)
    what = next((list_ for list_, then in _THEN.items() if choice.leads_to == then), None)
    return further(what) if what is not None else None
