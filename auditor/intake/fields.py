"""Headings to fields: which kind of table a heading row makes; one column to one field."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from auditor.intake.headings import OWN_LANGUAGES, UNITS_OF_FIELD, candidates, fold, heading, remembered
from auditor.job.model import TableKind

_CABLE_TYPE = re.compile(
    r"\d\s*[/x]\s*\d|awg|mm"
)  # what a lone cell under "Cable" can be instead of a pull's id
_MAY_BE_CHAIN = re.compile("[>→➔➜»]|then|dann|puis|luego")
CHAIN_MARK = re.compile(r"\s*(?:[-–—=]*[>→➔➜»]+|\s(?:then|dann|puis|luego)\s)\s*")
MAX_CHAIN = 2000
_GREATER = re.compile(
    r"\b(?:max\w*|peak|full|rated|actual|revised|new|final|measured|neu|aktuell|actuel|nuevo|real)\b"
)
_LESSER = re.compile(
    r"\b(?:typ\w*|avg|average|mean|min|minimum|idle|standby|old|previous|est|estimated|mittel|alt|moyen|ancien|tipico|medio|antiguo|"
    r"name|description|bezeichnung|designation|nom|nombre)\b"
)
OF_THE_OFFICE = " of headings.json"  # in the reason of a column whose heading is none of the shipped ones
NUMERIC = frozenset(UNITS_OF_FIELD) | {"quantity", "ports", "conductors", "price", "on_shelf"}
REQUIRED: Mapping[TableKind, tuple[frozenset[str], ...]] = {  # one set of them must be there in full
    TableKind.PULLS: (
        frozenset({"near", "far"}),
        frozenset({"port", "far", "length_m"}),
        frozenset({"chain"}),
    ),
    TableKind.COMBINED: (frozenset({"tag", "near", "length_m"}),),
    TableKind.CABLES: tuple(
        frozenset({"name", other})
        for other in (
            "gauge",
            "conductors",
            "stranded",
            "shielded",
            "capacitance_nf_per_m",
            "ohm_per_km",
        )
    ),
    TableKind.CONTROLLERS: tuple(
        frozenset({"name", other}) for other in ("ports", "supply_voltage_v", "supply_power_w", "head_end")
    ),
    TableKind.DEVICES: tuple(
        frozenset({"tag", other})
        for other in ("power_w", "total_power_w", "quantity", "room", "controller", "port", "load", "note")
    ),
    TableKind.REELS: tuple(frozenset({"length_m", other}) for other in ("price", "on_shelf", "cable")),
}


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """How one column was understood."""

    field: str
    column: int  # from 1
    header: str
    unit: str | None = None
    volts: float | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Understood:
    """How a heading row was understood as one kind of table."""

    kind: TableKind
    columns: Mapping[str, ColumnUse]
    languages: tuple[str, ...]  # of the matched headings


def understand(
    cells: Mapping[int, str], samples: Callable[[int], Sequence[Any]], title: str = ""
) -> Understood | None:
    """The kind of table that a heading row makes, if any.

    Parameters
    ----------
    cells : column (from 1) -> heading text
    samples : the first values below a heading, by its column
    title : the sheet's name, which decides where headings do not
    """
    best: Understood | None = None
    for kind in _ORDER:
        if kind is TableKind.COMBINED and best is not None and {"near", "far"} <= best.columns.keys():
            continue  # both ends are named: what is fed is no tag of a device list beside it
        columns, languages = _assign(kind, cells, samples)
        if any(needed <= columns.keys() for needed in REQUIRED[kind]):
            found = Understood(kind, columns, languages)
            if best is None or _merit(found, title) > _merit(best, title):
                best = found
    return best


_ORDER = (
    TableKind.PULLS,
    TableKind.COMBINED,
    TableKind.CABLES,
    TableKind.DEVICES,
    TableKind.CONTROLLERS,
    TableKind.REELS,
)
_TITLES: Mapping[TableKind, re.Pattern[str]] = {  # words in a sheet's name, where headings do not decide
    TableKind.CONTROLLERS: re.compile(
        r"controll?er|zentrale|steuerung|contr[oô]l|suppl(y|ies)$", re.IGNORECASE
    ),
    TableKind.REELS: re.compile(r"reel|stock|trommel|touret|bobina", re.IGNORECASE),
}


def _merit(found: Understood, title: str) -> tuple[bool, int, bool, int]:
    """Pull schedules first (both ends are named), then what explains most columns."""
    pattern = _TITLES.get(found.kind)
    titled = pattern is not None and pattern.search(title) is not None
    is_schedule = found.kind in (TableKind.PULLS, TableKind.COMBINED)
    return is_schedule, len(found.columns), titled, -_ORDER.index(found.kind)


def _assign(
    kind: TableKind, cells: Mapping[int, str], samples: Callable[[int], Sequence[Any]]
) -> tuple[dict[str, ColumnUse], tuple[str, ...]]:
    """One column to one field: headings with one meaning first, the others take what is left."""
    taken: dict[str, ColumnUse] = {}
    languages: list[str] = []
    for column, text, names in _named(kind, tuple(cells.items())):
        left = [item for item in names if item[0] not in taken]
        needs_sample = len(left) > 1 or (left and left[0][0] == "chain")
        best = _best(left, samples(column)) if needs_sample else next(iter(left), None)
        if best is not None:
            (name, language), head = best, heading(text)
            unit = head.unit if head.unit in UNITS_OF_FIELD.get(name, ()) else None
            reason = f"heading {text!r}" + (OF_THE_OFFICE if language in OWN_LANGUAGES else "")
            taken[name] = ColumnUse(name, column, text, unit, head.volts, reason)
            languages.append(language)
    if "chain" in taken and "id" not in taken:
        taken |= _named_chains(kind, cells, taken, samples)
    if "port" not in taken and "controller" in taken and fold(taken["controller"].header) == "panel":
        del taken["controller"]  # a distribution board, as far as anyone can tell
    return taken, tuple(languages)


def _named_chains(
    kind: TableKind,
    cells: Mapping[int, str],
    taken: Mapping[str, ColumnUse],
    samples: Callable[[int], Sequence[Any]],
) -> dict[str, ColumnUse]:
    """The column that names each chain, R1, R2, R3, under another heading of chains."""
    used = {use.column for use in taken.values()}
    for column, text, names in _named(kind, tuple(cells.items())):
        if (
            column not in used
            and any(name == "chain" for name, _ in names)
            and _fits("id", samples(column)) > 0
        ):
            return {"id": ColumnUse("id", column, text, reason=f"heading {text!r} beside the chains")}
    return {}


@remembered(maxsize=1024)  # the same headings come again in every job of an office
def _named(
    kind: TableKind, cells: tuple[tuple[int, str], ...]
) -> tuple[tuple[int, str, Sequence[tuple[str, str]]], ...]:
    """The headings that can name fields of a kind of table, with these, those with one meaning first;
    none where they cannot make such a table."""
    found = [(column, text, names) for column, text in cells if (names := candidates(kind, text))]
    possible = {name for _, _, names in found for name, _ in names}
    if not any(needed <= possible for needed in REQUIRED[kind]):
        return ()
    return tuple(sorted(found, key=lambda item: (len(item[2]), _rank(item[1]), item[0])))


def _rank(text: str) -> int:
    """Of two columns for one field the one that holds goes first: maximum before typical, actual before
    estimated, a tag before a name."""
    said = fold(text)
    return bool(_LESSER.search(said)) - bool(_GREATER.search(said))


def _best(names: Sequence[tuple[str, str]], sample: Sequence[Any]) -> tuple[str, str] | None:
    """Of the fields that a heading can name, the one that the column's values suit best."""
    left = [item for item in names if item[0] != "chain" or is_chain(sample)]
    return max(left, key=lambda item: _fits(item[0], sample)) if len(left) > 1 else next(iter(left), None)


def is_chain(sample: Sequence[Any]) -> bool:
    """Whether a column's cells hold several ends in order: `C1.1 > K1 > K2`."""
    texts = [str(value)[:MAX_CHAIN] for value in sample if value != ""]
    if _MAY_BE_CHAIN.search("\n".join(texts)) is None:  # one look at all of them: chains are rare
        return False
    return bool(texts) and sum(CHAIN_MARK.search(text) is not None for text in texts) * 2 > len(texts)


def _fits(name: str, sample: Sequence[Any]) -> int:
    """How well a column's values suit a field that its heading can name."""
    values = [value for value in sample if value != ""]
    if not values:
        return 0
    if name in NUMERIC:
        return (
            1
            if sum(isinstance(v, float) or any(c.isdigit() for c in str(v)) for v in values) * 2 > len(values)
            else -1
        )
    texts = [str(value).strip().casefold() for value in values]
    distinct = len(set(texts)) == len(texts)
    if name in ("id", "tag"):
        return 2 if distinct and (len(texts) > 1 or not _CABLE_TYPE.search(texts[0])) else -1
    return 1 if not all(isinstance(v, float) for v in values) else -1
