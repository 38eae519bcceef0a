"""An end that is a listed tag but for its spelling, where pulls lead to both: one device, or a joint called much alike."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from auditor.intake.names.ends import Ends
from auditor.intake.names.spelling import spelling
from auditor.intake.said import Answers, asked, choices, chosen, to_decide
from auditor.job.model import Question, Remark

JOINT, DEVICE = "a joint", "that device"  # answers
Typed = tuple[str, str, str | None]  # near, far and home of a pull


def settle_alike(ends: Ends, typed: Sequence[Typed], answers: Answers) -> list[Remark]:
    """What is to be said of such ends, once of those of one form; where the answer is a joint, none of them is a device."""
    said = []
    for form, (text, tag) in _alike(ends, typed).items():
        one = _question(text, tag)
        answer = chosen(one, answers)
        if answer == JOINT:
            named = {end for pull in typed for end in pull[:2] if _form(end) == form}
            ends.joints |= named - ends.tags
        said.append(replace(to_decide(one, text, answers), closes=answer is None))
    return said


def _question(text: str, tag: str) -> Question:
    sentence = (
        f"{text!r} and {tag} are spelled alike, and pulls lead to both: is {text!r} that device, or a joint?"
    )
    may_be = choices(
        (JOINT, f"{text!r} and the ends that are called so draw nothing"),
        (DEVICE, f"the pulls of {text!r} are those of {tag}"),
    )
    return asked("spelled-alike", (text, tag), sentence, may_be, None)


def _alike(ends: Ends, typed: Sequence[Typed]) -> dict[str, tuple[str, str]]:
    """Form of a name -> the first end of it that is fed beside the tag that it is spelled like."""
    fed = _fed(typed)
    found: dict[str, tuple[str, str]] = {}
    for text, tag in _spelled_otherwise(ends, fed):
        if _are_both_fed(text, tag, fed):
            found.setdefault(_form(text), (text, tag))
    return found


def _fed(typed: Iterable[Typed]) -> dict[str, set[str]]:
    """Each end that a pull leads to -> the ends that feed it, without their spelling."""
    found: dict[str, set[str]] = defaultdict(set)
    for near, far, _ in typed:
        if near and far:
            found[far].add(spelling(near))
    return found


def _spelled_otherwise(ends: Ends, fed: Iterable[str]) -> list[tuple[str, str]]:
    """(end, tag) of those that are no tag as they are typed."""
    pairs = [(text, ends.listed_as(text)) for text in fed if text not in ends.tags]
    return [(text, tag) for text, tag in pairs if tag is not None and text.casefold() != tag.casefold()]


def _are_both_fed(text: str, tag: str, fed: Mapping[str, set[str]]) -> bool:
    """Whether other ends feed the one than the other: a pull that stands twice is fed by one."""
    return tag in fed and fed[text].isdisjoint(fed[tag])


def _form(text: str) -> str:
    """A name with its numbers as one: `J-1` and `J-12` are called so."""
    return re.sub(r"\d+", "9", text.casefold())
