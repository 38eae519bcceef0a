"""Several jobs in one workbook: the same tags again under another building, house or plot."""

import re
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from functools import cache
from itertools import combinations

from auditor.intake.blocks.tables import Line
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.ends import is_controller, is_head_end
from auditor.intake.names.ports import Spelled, as_words, port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part, tags_listed
from auditor.intake.words import fold, languages, without_accents
from auditor.job.model import TableKind

REPEAT = 0.5  # share of the names of one scope that stand again in another; project convention
SOME = 0.1  # the same where sheets are named after the scopes
LEAST_NAMES = 2
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)
_SCOPED = (*_SCHEDULES, TableKind.DEVICES)


def split_scopes(parts: Sequence[Part], lines: Sequence[Line]) -> list[tuple[str, list[Part]]]:
    """(name, tables) of each job; empty: the workbook holds one."""
    return _by_column(parts) or _by_sheet(parts, lines)


def _fed(part: Part) -> list[str]:
    if part.has("chain"):
        return [spelling(name) for value in part.values("chain") for name in names_in_chain(words(value))]
    return [spelling(name) for name in (map(words, part.values("far")) if part.has("far") else _tags(part))]


def _tags(part: Part) -> list[str]:
    """The names of the rows; in an indented tree without another column the indented ones."""
    tags = [words(value) for value in part.values("tag")]
    if not part.has("level") or any(tags):
        return tags
    return [words(value) for value in part.values("level")]


def _tops(part: Part) -> list[str]:
    """The names of an indented tree that are not indented."""
    texts = [value for value in part.values("level") if isinstance(value, str) and value.strip()]
    return [words(text) for text in texts if not text[0].isspace()] if len(set(texts)) > 1 else []


def _ids(parts: Sequence[Part]) -> set[str]:
    return {
        words(value) for part in parts if part.has("id") for value in part.values("id") if not is_blank(value)
    }


def _cross(of_scope: Sequence[Sequence[Part]], named: Sequence[set[str]]) -> bool:
    """Whether a pull of one scope starts at what only another one feeds or lists."""
    for own, parts in zip(named, of_scope, strict=True):
        others = set().union(*(one for one in named if one is not own)) - own
        if any(spelling(near) in others for near in _near(parts)):
            return True
    return False


def _near(parts: Iterable[Part]) -> Iterator[str]:
    return (words(value) for part in parts if part.has("near") for value in part.values("near"))


def _heads(parts: Sequence[Part], named: set[str]) -> set[str]:
    """The controllers that the pulls of a scope start at; a port that is named alone tells none."""
    roots = [
        near for near in _near(parts) if near and spelling(near) not in named and port_alone(near) is None
    ]
    stated = [words(v) for part in parts if part.has("controller") for v in part.values("controller")]
    stated += [
        words(v) for part in parts if part.has("chain") and part.has("port") for v in part.values("port")
    ]
    trees = [part for part in parts if part.has("level")]
    names = [name for part in trees for name in _tags(part)]
    stated += [text for text in names if any(_is_of_a_controller(option) for option in spelled(text))]
    stated += [name for part in trees for name in _tops(part) if spelled(name)]
    return {
        spelling(next((option.controller for option in spelled(text)), text))
        for text in (*roots, *stated)
        if text
    }


def _is_of_a_controller(option: Spelled) -> bool:
    return option.worded or is_controller(option.controller) or is_head_end(option.controller)


def _fed_apart(
    of_scope: Sequence[Sequence[Part]], known: Sequence[set[str]], listed: Sequence[set[str]]
) -> bool:
    """Whether each scope feeds its own devices only, from controllers of its own or all that its own list has."""
    heads = [_heads(parts, own) for parts, own in zip(of_scope, known, strict=True)]
    shared = any(one & other for one, other in combinations(heads, 2))
    whole = all(own and own == every for own, every in zip(listed, known, strict=True))
    return (whole or all(heads)) and not shared and not _cross(of_scope, known)


def _repeats(names: Sequence[set[str]], least: float = REPEAT) -> bool:
    """Whether most names of two of the scopes are the same."""
    return any(
        len(one & other) >= max(LEAST_NAMES, least * min(len(one), len(other)))
        for one, other in combinations(names, 2)
    )


def _by_column(parts: Sequence[Part]) -> list[tuple[str, list[Part]]]:
    schedules = [part for part in parts if part.table.kind in _SCHEDULES]
    scoped = [part for part in schedules if part.has("scope")]
    if not scoped or len(scoped) < len(schedules):
        return []
    fed: dict[str, set[str]] = {}
    for part in scoped:
        for scope, end in zip(part.values("scope"), _fed(part), strict=True):
            if not is_blank(scope):
                fed.setdefault(words(scope), set()).add(end)
    if len(fed) < 2 or not _repeats(list(fed.values())):
        return []
    return [(name, list(_parts_of(parts, name))) for name in fed]


def _parts_of(parts: Sequence[Part], name: str) -> Iterator[Part]:
    """The tables with the rows of one scope only; side lists are everybody's."""
    for part in parts:
        own = _copy(part)
        if part.table.kind in _SCOPED and part.has("scope"):
            own.take([i for i, value in enumerate(part.values("scope")) if words(value) == name])
        yield own


def _copy(part: Part) -> Part:
    own = copy(part)
    own.rows, own.given, own.remarks, own._values = list(part.rows), dict(part.given), list(part.remarks), {}
    own.other = copy(part.other)
    return own


def _by_sheet(parts: Sequence[Part], lines: Sequence[Line]) -> list[tuple[str, list[Part]]]:
    schedules = [part for part in parts if part.table.kind in _SCHEDULES]
    named = {id(part): _scope_of(part, lines) for part in parts if part.table.kind in _SCOPED}
    names = list(dict.fromkeys(name for part in schedules if (name := named[id(part)])))
    if len(names) < 2 or any(named[id(part)] is None for part in schedules):
        return []
    of_scope = [[part for part in schedules if named[id(part)] == name] for name in names]
    fed = [{end for part in own for end in _fed(part)} for own in of_scope]
    listed = [tags_listed(part for part in parts if named.get(id(part)) == name) for name in names]
    known = [one | other for one, other in zip(fed, listed, strict=True)]
    again = any(one & other for one, other in combinations(known, 2))
    if not (
        _repeats(fed, SOME)
        or (_repeats(list(map(_ids, of_scope))) and not _cross(of_scope, known))
        or (again and _fed_apart(of_scope, known, listed))
    ):
        return []
    return [(name, [_copy(part) for part in parts if named.get(id(part)) in (None, name)]) for name in names]


@cache
def _named() -> re.Pattern[str]:
    found = {
        fold(text)
        for language in languages().values()
        for texts in (language.labels.get("scope", ()), language.tokens.get("scope", ()))
        for text in texts
    }
    return re.compile(
        rf"\b(?P<word>{as_words(frozenset(found - {''}))})\s+(?P<name>\w{{1,12}})\b", re.IGNORECASE
    )


def _scope_of(part: Part, lines: Sequence[Line]) -> str | None:
    """The scope that a table's sheet names, or a line above the table."""
    sheet = part.table.sheet
    above = [line.text for line in lines if line.sheet is sheet and line.row < part.table.first_row]
    for text in (sheet.name, *above):
        match = _named().search(without_accents(text))
        if match is not None:
            return text[match.start() : match.end()]
    return None
