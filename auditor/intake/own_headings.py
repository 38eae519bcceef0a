"""The headings that an office adds to the shipped ones, from its `headings.json`."""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from auditor.errors import LayoutError, json_fault_text
from auditor.intake.words import MAX_HEADING, SHIPPED, OwnHeadings, fold, own_kinds
from auditor.job.field_words import word_of

_EXAMPLE = '{"pulls": {"from": ["Whence"], "to": ["Whither"]}}'
_DECIMAL_COMMA = "decimal_comma"


def read_headings(text: str, name: str) -> OwnHeadings:
    """The headings of a `headings.json`, from its JSON text.

    Parameters
    ----------
    name : the file's name, for messages

    Raises
    ------
    LayoutError : names the file, the field and what would be right
    """
    try:
        record = json.loads(text)
    except (ValueError, RecursionError) as cause:
        raise LayoutError(f"{name}: {json_fault_text(cause)}; wanted e.g. {_EXAMPLE}") from None
    if not isinstance(record, dict):
        raise LayoutError(f"{name}: wanted tables with their fields and headings, e.g. {_EXAMPLE}")
    comma = record.pop(_DECIMAL_COMMA, False)
    if not isinstance(comma, bool):
        raise LayoutError(f"{name}: {_DECIMAL_COMMA}: wanted true or false, not {json.dumps(comma)[:60]}")
    found: dict[tuple[str, str], tuple[str, str]] = {}  # kind and folded heading -> field, heading
    for kind, field, heading in _entries(record, name):
        other, _ = found.setdefault((kind, fold(heading)), (field, heading))
        if other != field:
            raise LayoutError(
                f"{name}: {kind}: {heading!r} is listed for {word_of(other)} and for {word_of(field)}; one heading to one field"
            )
    spellings = tuple((kind, field, heading) for (kind, _), (field, heading) in found.items())
    return OwnHeadings(spellings, comma)


def merged(nearest_first: Sequence[OwnHeadings]) -> OwnHeadings:
    """The headings of several files as one: of a heading that two of them hold the nearest counts."""
    if not nearest_first:
        return SHIPPED
    found: dict[tuple[str, str], tuple[str, str]] = {}
    for own in nearest_first:
        for kind, field, heading in own.spellings:
            found.setdefault((kind, fold(heading)), (field, heading))
    spellings = tuple((kind, field, heading) for (kind, _), (field, heading) in found.items())
    return OwnHeadings(spellings, any(own.decimal_comma for own in nearest_first))


def _entries(record: Mapping[str, Any], name: str) -> Iterator[tuple[str, str, str]]:
    """(kind, field, heading), each checked."""
    known = own_kinds()
    for kind, fields in record.items():
        if kind not in known:
            raise LayoutError(
                f"{name}: no table {kind!r}; known are {', '.join(known)}, and {_DECIMAL_COMMA}"
            )
        if not isinstance(fields, dict):
            raise LayoutError(f"{name}: {kind}: wanted fields with their headings, e.g. {_EXAMPLE}")
        by_word = {word_of(field): field for field in known[kind]} | {field: field for field in known[kind]}
        for word, headings in fields.items():
            if word not in by_word:
                listed = ", ".join(word_of(field) for field in known[kind])
                raise LayoutError(f"{name}: {kind}: no field {word!r}; known are {listed}")
            if not isinstance(headings, list):
                raise LayoutError(f'{name}: {kind}, {word}: wanted a list of headings such as ["Whence"]')
            for heading in headings:
                if not isinstance(heading, str) or not fold(heading) or len(heading) > MAX_HEADING:
                    shown = json.dumps(heading, ensure_ascii=False)[:80]
                    raise LayoutError(
                        f"{name}: {kind}, {word}: {shown} is no heading; wanted a text of 1 to {MAX_HEADING} characters"
                    )
                yield kind, by_word[word], heading
