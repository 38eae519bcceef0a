"""What answers say of tables, whichever questions they answer."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from auditor.intake.asking.texts import explained, given_by
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.roles.given import Given
from auditor.intake.said import LIST_OF_DEVICES, LIST_OF_PULLS, Answers, reading
from auditor.job.model import CellRef, Remark, TableKind


def given_of(answers: Answers, blocks: Sequence[TableBlock]) -> dict[int, Given]:
    """id of a table -> what the answers say of it; nothing where two answers contradict each other."""
    found: dict[int, list[Given]] = {}
    for _, answer in sorted(answers.items()):
        for key, own in given_by(answer, blocks).items():
            found.setdefault(key, []).append(own)
    return {key: joined for key, own in found.items() if (joined := _joined(own)) is not None}


def _joined(answers: Sequence[Given]) -> Given | None:
    """What answers say of one table together: one that lists pulls and their devices is a list of pulls."""
    first, *others = sorted(answers, key=lambda given: given.kind is not TableKind.PULLS)
    for then in others:
        if then.kind is first.kind and then != first:
            return None
        if then.kind is not first.kind:
            taken = first.columns.values()
            more = {name: c for name, c in then.columns.items() if name != "tag" and c not in taken}
            first = Given(kind=first.kind, columns={**more, **first.columns})
    return first


def lists_in(given: Mapping[int, Given]) -> frozenset[str]:
    """The lists of which answers say what holds them."""
    pulls = any(each.kind is TableKind.PULLS for each in given.values())
    devices = any(
        each.kind is TableKind.DEVICES or (each.kind is TableKind.PULLS and "power_w" in each.columns)
        for each in given.values()
    )
    return frozenset(what for what, known in ((LIST_OF_PULLS, pulls), (LIST_OF_DEVICES, devices)) if known)


def notes_of(given: Mapping[int, Given], blocks: Iterable[TableBlock]) -> Iterator[Remark]:
    """A note of each table that is read as an answer says."""
    for block in blocks:
        if id(block) in given:
            where = CellRef(block.sheet.name, block.first_row, block.first_column)
            message = f"{explained([block], given[id(block)])}. Answered"
            yield reading(block.sheet.name, message, where)
