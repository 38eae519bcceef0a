"""Ends that name a numbered device with a word before its number: `no 3` is the device 3."""

import re
from collections import Counter
from collections.abc import Sequence

from auditor.intake.grammar.values import words
from auditor.intake.names.ports import as_words
from auditor.intake.rows.part import Part
from auditor.intake.words import fold, word_list
from auditor.job.model import TableKind

_OTHER_ENDS = ("port", "controller", "head_end", "splice")
MOST = 0.6  # share of the ends that begin with one word; project convention
_END = re.compile(r"(?P<lead>[^\W\d]{1,10}[.°º]?|#)\s*(?P<number>\d{1,4})")


def number_ends(parts: Sequence[Part]) -> None:
    """Leave out one word that stands before the numbers of devices, where all tags are numbers."""
    tags = {
        words(value)
        for part in parts
        if part.table.kind in (TableKind.DEVICES, TableKind.COMBINED)
        for value in part.values("tag")
    } - {""}
    if not tags or not all(map(str.isdigit, tags)):
        return
    for part in parts:
        for name in ("near", "far"):
            if part.has(name):
                _leave_word_out(part, name, tags)


def _leave_word_out(part: Part, name: str, tags: set[str]) -> None:
    values = part.values(name)
    found = [_END.fullmatch(words(value)) if isinstance(value, str) else None for value in values]
    leads = Counter(fold(match["lead"]) for match in found if match and match["number"] in tags)
    lead, count = leads.most_common(1)[0] if leads else ("", 0)
    if count < MOST * len(values) or _names_another(lead):
        return
    part.give(
        name,
        [
            match["number"] if match and match["number"] in tags and fold(match["lead"]) == lead else value
            for value, match in zip(values, found, strict=True)
        ],
    )


def _names_another(lead: str) -> bool:
    """Whether a word names ports, controllers, panels or boxes, whose numbers are their own."""
    return re.fullmatch(as_words(frozenset().union(*map(word_list, _OTHER_ENDS))), lead) is not None
