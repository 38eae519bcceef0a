"""Kinds of device that a legend gives to another system."""

from collections.abc import Sequence

from auditor.intake.grammar.values import words
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.intake.words import fold, matcher
from auditor.job.model import TableKind


def kinds_of_other_systems(parts: Sequence[Part]) -> frozenset[str]:
    """The kinds, without their spelling, whose system in a legend is not this bus."""
    found = set()
    for part in parts:
        if part.table.kind is not TableKind.LEGEND or not part.has("system"):
            continue
        systems = [fold(words(value)) for value in part.values("system")]
        if not any(matcher("bus").search(system) for system in systems):
            continue
        for kind, system in zip(part.values("type"), systems, strict=True):
            if system and not matcher("bus").search(system):
                found.add(spelling(words(kind)))
    return frozenset(found)
