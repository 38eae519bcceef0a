"""Which cables of many jobs are the same, and a name of its own for each that is not."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.job.field_words import UNNAMED_CABLE
from auditor.results.audit_result import Audit, CutListResult

_GAPS = re.compile(r"[\s\-\u2010-\u2015]+")


@dataclass(frozen=True, slots=True)
class CableKind:
    """What is bought and cut together: one name however it is spelled, one specification, one unit."""

    name: str  # without case, spaces and hyphens
    spec: str  # as stated
    length_unit: str


def cable_kind(cut_list: CutListResult) -> CableKind:
    return CableKind(_GAPS.sub("", cut_list.cable).casefold(), cut_list.spec, cut_list.length_unit)


def with_spec(cut_list: CutListResult) -> str:
    """The cable's name, and behind it what the schedules state of it and the name does not say."""
    told = cut_list.cable.rpartition(" (")[2].removesuffix(")").split(", ")
    parts = [part for part in cut_list.spec.split(", ") if part and part not in told]
    return ", ".join([cut_list.cable, *parts])


def cable_names(spelled: Mapping[CableKind, Counter[str]]) -> dict[CableKind, str]:
    """Each kind's name: its usual spelling, and behind it what tells it from others of that name.

    Parameters
    ----------
    spelled : how often each kind's name is spelled which way
    """
    alike: dict[str, list[CableKind]] = defaultdict(list)
    for kind in spelled:
        alike[kind.name].append(kind)
    names = {}
    for kinds in alike.values():
        counts = sum((spelled[kind] for kind in kinds), Counter[str]())
        usual = min(counts, key=lambda name: (-counts[name], name))
        for kind, told in zip(kinds, _told_apart(kinds), strict=True):
            names[kind] = f"{usual} ({', '.join(told)})" if told else usual
    return names


def named_apart(audits: Iterable[Audit]) -> list[Audit]:
    """The audits with every kind of cable under one name of its own, in their cut lists and pulls."""
    audits = list(audits)
    spelled: dict[CableKind, Counter[str]] = defaultdict(Counter)
    for audit in audits:
        for cuts in audit.cut_lists:
            spelled[cable_kind(cuts)][cuts.cable] += 1
    names = cable_names(spelled)
    return [_renamed(audit, names) for audit in audits]


def _told_apart(kinds: Sequence[CableKind]) -> list[list[str]]:
    """What is different between kinds of the same name, for each of them."""
    specs = [kind.spec.split(", ") if kind.spec else ["nothing stated"] for kind in kinds]
    common = set.intersection(*map(set, specs)) if len({kind.spec for kind in kinds}) > 1 else None
    told = [[part for part in spec if common is not None and part not in common] for spec in specs]
    if common is not None and not all(told):
        told = specs  # one states all that another does, and more
    units = Counter(kind.spec for kind in kinds)  # of each specification
    return [
        [*parts, f"lengths in {kind.length_unit}"] if units[kind.spec] > 1 else parts
        for parts, kind in zip(told, kinds, strict=True)
    ]


def _renamed(audit: Audit, names: Mapping[CableKind, str]) -> Audit:
    own = {cuts.cable: names[cable_kind(cuts)] for cuts in audit.cut_lists}
    return replace(
        audit,
        cut_lists=tuple(replace(cuts, cable=own[cuts.cable]) for cuts in audit.cut_lists),
        pulls=tuple(
            replace(pull, cable=own.get(pull.cable or UNNAMED_CABLE, pull.cable)) for pull in audit.pulls
        ),
    )
