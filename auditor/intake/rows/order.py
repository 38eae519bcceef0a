"""Tables that say what feeds a device by its place: its number on the port, or its level in a tree."""

import itertools
from collections import Counter, defaultdict
from dataclasses import replace

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.numbers import UnreadableError
from auditor.intake.grammar.values import count, is_blank, words
from auditor.intake.names.ports import spelled
from auditor.intake.roles.profiles import pushed_by
from auditor.intake.rows.part import Part, filled_down
from auditor.intake.said import asked, choices, chosen, question, to_decide, untried
from auditor.intake.words import says
from auditor.job.model import CellRef, TableKind

FEW, FEW_OF_ALL = 2, 0.1  # places that stand twice by a slip, and their share of the rows; project convention


def by_order(part: Part) -> set[str]:
    """Say of each row what feeds it, where its place alone does.

    Returns
    -------
    the devices of which it cannot be told, and is asked
    """
    if part.table.kind not in (TableKind.COMBINED, TableKind.PULLS) or part.has("near"):
        return set()
    if part.has("level"):
        return _by_level(part)
    if part.has("sequence") and not _leaves_feeds_blank(part):
        _by_sequence(part)
    return set()


def _leaves_feeds_blank(part: Part) -> bool:
    """Whether an unread column is headed as what feeds each row: blank there, each hangs on its port."""
    used = {use.column for use in part.table.understood.columns.values()}
    return any(says(text, "near") and column not in used for column, text in part.table.headers.items())


def _fed(part: Part) -> str:
    return "far" if part.has("far") else "tag"


def _by_sequence(part: Part) -> None:
    """The device with the number before feeds the next one; the first hangs on the port."""
    for name in ("controller", "slot", "port"):
        if part.has(name):
            part.give(name, filled_down(part.values(name)))
    tags = [words(value) for value in part.values(_fed(part))]
    ports = list(
        zip(*(map(words, part.values(name)) for name in ("controller", "slot", "port")), strict=True)
    )
    numbers = [_number(value) for value in part.values("sequence")]
    on_port: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for index, port in enumerate(ports):
        on_port[port].append(index)
    near = [""] * len(tags)
    places = [place for place in zip(ports, numbers, strict=True) if place[1] is not None]
    twice = len(places) - len(set(places))
    if many := twice > max(FEW, FEW_OF_ALL * len(tags)):
        _ask_of_ports(part, twice)
    for port, indices in on_port.items():
        if all(numbers[i] is not None for i in indices):
            if not many:
                _ask_of_twice(part, port, indices, numbers, tags)
            indices = sorted(indices, key=lambda i: numbers[i] or 0)  # noqa: PLW2901
        for before, index in itertools.pairwise(indices):
            near[index] = tags[before]
    part.give("near", list(near))
    part.given["near"].columns = [part.column_of("sequence")] * len(near)


def _ask_of_ports(part: Part, twice: int) -> None:
    """Ask where so many places stand twice that it is not plain on which controller each port is."""
    use = part.table.understood.columns["sequence"]
    sheet = part.table.sheet.name
    one = asked(
        "places-twice",
        (sheet, use.header),
        f"{twice} places on ports stand twice on {sheet!r}: are the ports those of several controllers?",
        (
            *choices(("no", "what stands twice is taken in the order of the rows")),
            untried(
                "yes",
                "the controller is to be written before each port, or a layout says which column holds it",
            ),
        ),
        CellRef(sheet, part.table.heading_row, use.column),
    )
    remark = to_decide(one, use.header, part.answers)
    part.remarks.append(replace(remark, closes=chosen(one, part.answers) is None))


def _number(value: Value) -> int | None:
    try:
        return count(value)
    except UnreadableError:
        return None


def _ask_of_twice(
    part: Part, port: tuple[str, ...], indices: list[int], numbers: list[int | None], tags: list[str]
) -> None:
    seen: dict[int | None, int] = {}
    for index in indices:
        first = seen.setdefault(numbers[index], index)
        if first != index:
            where = CellRef(part.table.sheet.name, part.rows[index], part.column_of("sequence"))
            message = (
                f"{tags[first]} and {tags[index]} are both number {numbers[index]} on {'.'.join(filter(None, port))}; they are "
                "taken in the order of their rows: correct one of the numbers"
            )
            part.remarks.append(question(tags[index], message, where))


def _by_level(part: Part) -> set[str]:
    """1.1.2 is fed from 1.1; the rows of the ports themselves are no pulls."""
    levels = _levels(part)
    tags = [words(value) for value in part.values(_fed(part))]
    if _is_pushed(part):
        tags = [tag[pushed_by(tag) :] for tag in tags]
        part.give(_fed(part), list(tags))
    at = {level: tag for level, tag in zip(levels, tags, strict=True) if level}
    lengths = part.values("length_m")
    roots = {
        level for level, tag, n in zip(levels, tags, lengths, strict=True) if _is_root(level, at, tag, n)
    }
    near, keep, asked = [], [], set()
    twice = {level for level, count in Counter(levels).items() if level and count > 1}
    for index, level in enumerate(levels):
        if level in roots:
            continue
        above = level.rpartition(".")[0]
        keep.append(index)
        near.append(at.get(above, "") if above not in twice else "")
        if above in twice:
            asked.add(tags[index])
            where = CellRef(part.table.sheet.name, part.rows[index], part.column_of("level"))
            message = f"{tags[index]} is number {level} and {above} stands twice: which of the two feeds it? Correct the numbers"
            part.remarks.append(question(tags[index], message, where))
        elif above not in at:
            asked.add(tags[index])
            where = CellRef(part.table.sheet.name, part.rows[index], part.column_of("level"))
            message = f"{tags[index]} is number {level} and there is no {above or 'level above it'}: what feeds it? Correct the number"
            part.remarks.append(question(tags[index], message, where))
    part.other.ports += [part.rows[i] for i, level in enumerate(levels) if level in roots]
    part.take(keep)
    part.give("near", list(near))
    part.given["near"].columns = [part.column_of("level")] * len(near)
    return asked


def _is_pushed(part: Part) -> bool:
    """Whether the names themselves say how deep they stand."""
    return part.column_of("level") == part.column_of(_fed(part))


def _levels(part: Part) -> list[str]:
    """The level number of each row; of names that blanks push in the numbers are counted."""
    values = part.values("level")
    if not _is_pushed(part):
        return [words(value).strip(".") for value in values]
    depths = [pushed_by(v) if isinstance(v, str) else 0 for v in values]
    steps = sorted(set(depths))
    counts: list[int] = []
    levels = []
    for depth in depths:
        at = steps.index(depth)
        counts = [*counts[: at + 1], *[0] * (at + 1 - len(counts))]
        counts[at] += 1
        levels.append(".".join(map(str, counts)))
    return levels


def _is_root(level: str, at: dict[str, str], tag: str, length: Value) -> bool:
    return (
        level.rpartition(".")[0] not in at and is_blank(length) and (bool(spelled(tag)) or "." not in level)
    )
