"""The cable types of a job: those that a table or a sentence describes, and those that only pulls name."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from auditor.intake.grammar.values import words
from auditor.intake.names.gauges import thin_by_name
from auditor.intake.names.spelling import spelling
from auditor.intake.said import reading
from auditor.intake.statements.facts import CABLE
from auditor.job.model import Cable, Pull, Remark

if TYPE_CHECKING:
    from auditor.intake.document import Document


def with_cable_names(
    pulls: Sequence[Pull], listed: Mapping[str, Cable], document: "Document"
) -> tuple[list[Pull], dict[str, Cable], list[Remark]]:
    """The pulls with one name for each cable type, all types, and what is said of them.

    Parameters
    ----------
    listed : the types that a cable sheet describes, by name
    """
    pulls, said = _with_only_cable(pulls, listed, document)
    cables = _with_stated(listed, document, pulls)
    pulls, alike = _with_one_spelling(pulls, cables)
    cables, named = _with_named(cables, pulls)
    return pulls, cables, [*said, *alike, *named]


def _with_only_cable(
    pulls: Sequence[Pull], cables: Mapping[str, Cable], document: "Document"
) -> tuple[list[Pull], list[Remark]]:
    """Pulls that name no cable, all of them, are of the one type that the workbook describes."""
    if not pulls or any(pull.cable or "cable" in pull.cells for pull in pulls):
        return list(pulls), []
    stated = {fact.value.name: fact for fact in document.facts.of(CABLE)}
    names = list(cables) or list(stated)
    if len(names) != 1:
        return list(pulls), []
    where = cables[names[0]].where if cables else stated[names[0]].where
    message = (
        f"no pull names its cable; all are taken as {names[0]}, the only type that the workbook describes"
    )
    return [replace(pull, cable=names[0]) for pull in pulls], [reading(names[0], message, where)]


def _with_stated(
    cables: Mapping[str, Cable], document: "Document", pulls: Sequence[Pull]
) -> dict[str, Cable]:
    """The cable types with those that sentences describe, under the name that the pulls use."""
    named = {words(pull.cable).casefold(): pull.cable for pull in pulls if pull.cable}
    found = dict(cables)
    for fact in document.facts.of(CABLE):
        name = named.get(fact.value.name.casefold())
        if name is not None and name not in found:
            found[name] = replace(fact.value, name=name)
    return found


def _with_one_spelling(pulls: Sequence[Pull], described: Collection[str]) -> tuple[list[Pull], list[Remark]]:
    """`TP16` in a pull is the type TP-16: the one that is described, else the one that most pulls name."""
    used = Counter(pull.cable for pull in pulls if pull.cable)
    first: dict[str, str] = {}
    for name in (*described, *(name for name, _ in used.most_common())):
        first.setdefault(spelling(name), name)
    meant = {name: first[spelling(name)] for name in used.keys() - set(described)}
    other = {name: first_name for name, first_name in meant.items() if name != first_name}
    where = {pull.cable: pull.cells.get("cable", pull.where) for pull in reversed(pulls)}
    said = [
        reading(name, f"cable {name} is read as {other[name]}, which is spelt alike", where[name])
        for name in sorted(other)
    ]
    return [replace(pull, cable=other.get(pull.cable or "", pull.cable)) for pull in pulls], said


def _with_named(cables: Mapping[str, Cable], pulls: Sequence[Pull]) -> tuple[dict[str, Cable], list[Remark]]:
    """The cable types with those that only pulls name; a thin one by its name is taken as that."""
    first = {pull.cable: pull for pull in reversed(pulls) if pull.cable}
    found, said = dict(cables), []
    for name in sorted(first.keys() - cables.keys()):
        size = thin_by_name(name)
        found[name] = Cable(name=name)
        if size is not None:
            found[name] = Cable(name=name, gauge=size.gauge, area_mm2=size.area_mm2)
            message = f"no table says what cable {name} is; it is taken as {size.text}, as its name says"
            where = first[name].cells.get("cable", first[name].where)
            said.append(reading(name, message, where))
    return found, said
