"""Rows of a register that are the head end itself: a controller, and below it its ports."""

from collections.abc import Sequence

from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.job.model import TableKind

_OF_A_DEVICE = ("length_m", "distance_m", "cable", "power_w", "total_power_w")


def leave_out_head_ends(part: Part) -> None:
    """Take the rows of controllers and ports out of a list of assets with their parents: what feeds others,
    has no cable and no load, and hangs on nothing of the list but such a row; and the controller whose ports follow
    it, with the mains cable that feeds it."""
    if part.table.kind is not TableKind.COMBINED or not part.has("near") or not part.has("tag"):
        return
    tags = [spelling(words(value)) for value in part.values("tag")]
    parents = [spelling(words(value)) for value in part.values("near")]
    bare = {
        tag: parent
        for index, (tag, parent) in enumerate(zip(tags, parents, strict=True))
        if all(is_blank(part.values(name)[index]) for name in _OF_A_DEVICE if part.has(name))
    }
    heads: set[str] = set()
    while more := {
        tag
        for tag, parent in bare.items()
        if tag not in heads and tag in parents and (parent in heads or parent not in tags)
    }:
        heads |= more
    names = {spelling(words(value)): words(value) for value in part.values("tag")}
    heads |= _at_whose_ports(part, tags, parents)
    heads |= {parent for tag, parent in bare.items() if parent in names and _is_port_of(names[tag], parent)}
    heads |= {tag for tag, parent in bare.items() if parent in heads and _is_port_of(names[tag], parent)}
    if heads and any(part.has(name) for name in ("length_m", "distance_m")):
        part.other.ports += [row for row, tag in zip(part.rows, tags, strict=True) if tag in heads]
        part.take([i for i, tag in enumerate(tags) if tag not in heads])
        _outlets_as_ports(part, heads)


def _at_whose_ports(part: Part, tags: Sequence[str], parents: Sequence[str]) -> set[str]:
    """The rows without a load at whose ports, by a word, others hang, and that hang on nothing of the list: `BC1`, which
    `DB-1 way 11` feeds, where others hang on `BC1 / port 1`."""
    worded = {
        spelling(option.controller)
        for value in part.values("near")
        for option in spelled(words(value))
        if option.worded
    }
    powers = [part.values(name) for name in ("power_w", "total_power_w") if part.has(name)]
    return {
        tag
        for index, (tag, parent) in enumerate(zip(tags, parents, strict=True))
        if tag in worded and parent not in tags and all(is_blank(own[index]) for own in powers)
    }


def _outlets_as_ports(part: Part, heads: set[str]) -> None:
    """Read a port beside what feeds as the head end's own, where it stands at head ends only: `A-2001 | outlet 1`."""
    if not part.has("port") or part.has("near_terminal") or part.has("controller"):
        return
    ports, parents = part.values("port"), part.values("near")
    at = {spelling(words(near)) for near, port in zip(parents, ports, strict=True) if not is_blank(port)}
    if at and at <= heads:
        part.give("near_terminal", list(ports))
        part.give("port", [""] * len(ports))


def _is_port_of(name: str, parent: str) -> bool:
    """Whether a name is its parent's with a port's number behind: a port that feeds nothing."""
    return any(spelling(option.controller) == parent for option in spelled(name))
