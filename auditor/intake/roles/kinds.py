"""The roles of one table's columns as one kind of table, assigned jointly: one column to one role."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from auditor.intake.names.ports import port_alone
from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.evidence import (
    LEAST,
    NUMERIC,
    Ties,
    by_relations,
    by_values,
    by_words,
    share,
    strength,
)
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import (
    OWN_LANGUAGES,
    UNITS_OF_FIELD,
    fold,
    heading,
    languages_of,
    matcher,
    word_list,
)
from auditor.job.model import TableKind

OF_THE_OFFICE = " of headings.json"  # in the reason of a column whose heading is none of the shipped ones
UNREADABLE = -0.8  # what values that are no numbers say against a number
LATER = 0.001  # what a later meaning of one heading has less
ONLY_BY_VALUES = ("length_m", "power_w", "unit", "chain", "level")  # roles that values alone can give
ALSO_BY_VALUES = ("tag", "name", "cable", "type", "id", "status", "stranded", "shielded", "quantity")
REQUIRED: Mapping[TableKind, tuple[frozenset[str], ...]] = {  # one set of them must be there in full
    TableKind.PULLS: (
        frozenset({"near", "far"}),
        frozenset({"port", "far", "length_m"}),
        frozenset({"chain"}),
        frozenset({"far", "port", "sequence"}),
        frozenset({"far", "level"}),
    ),
    TableKind.COMBINED: (
        frozenset({"tag", "near", "length_m"}),
        frozenset({"tag", "near", "distance_m"}),
        frozenset({"tag", "port", "sequence"}),
        frozenset({"tag", "level"}),
    ),
    TableKind.CABLES: tuple(
        frozenset({"name", other})
        for other in ("gauge", "conductors", "stranded", "shielded", "capacitance_nf_per_m", "ohm_per_km")
    ),
    TableKind.CONTROLLERS: tuple(
        frozenset({"name", other}) for other in ("ports", "supply_voltage_v", "supply_power_w", "head_end")
    ),
    TableKind.DEVICES: tuple(
        frozenset({"tag", other})
        for other in ("power_w", "total_power_w", "quantity", "room", "controller", "port", "load", "note", "type",
                      "description")
    ),
    TableKind.LEGEND: (frozenset({"type", "power_w"}), frozenset({"type", "description"})),
    TableKind.LENGTHS: (frozenset({"id", "length_m"}),),
    TableKind.SPLICES: (frozenset({"name"}),),
    TableKind.REELS: (*tuple(frozenset({"length_m", other}) for other in ("price", "on_shelf", "cable")), frozenset({"stock_length_m", "cable"}), frozenset({"stock_length_m", "drum"})),
}  # fmt: skip
ORDER = tuple(REQUIRED)
_TITLES: Mapping[TableKind, re.Pattern[str]] = {  # words in a sheet's name, where headings do not decide
    TableKind.CONTROLLERS: re.compile(r"controll?er|zentrale|steuer|contr[oô]l|suppl(y|ies)$|regelkast", re.IGNORECASE),
    TableKind.REELS: re.compile(r"reel|stock|trommel|touret|bobina|haspel", re.IGNORECASE),
    TableKind.LEGEND: re.compile(r"legend|types?$|typen|légende|leyenda|key", re.IGNORECASE),
    TableKind.SPLICES: re.compile(r"splice|box|joint|junction|dose|boîte|caja|scatol|las", re.IGNORECASE),
}  # fmt: skip


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
class Settled:
    """What was decided of a column that is not read in its own right."""

    column: int
    text: str  # what is to be said of it; empty: nothing
    ask: bool = False
    row: int | None = None  # index of the one row that it is about
    instead: bool = False  # its values count where the chosen column is blank


@dataclass(frozen=True, slots=True)
class Understood:
    """How a table was understood as one kind."""

    kind: TableKind
    columns: Mapping[str, ColumnUse]
    languages: tuple[str, ...]  # of the matched headings
    rivals: Mapping[str, tuple[int, ...]] = field(
        default_factory=dict
    )  # role -> other columns that may be it
    score: float = 0.0
    shape: str = "rows"
    settled: tuple[Settled, ...] = ()


@dataclass(frozen=True, slots=True)
class _Claim:
    field: str
    column: int
    score: float
    words: float
    language: str
    relations: float | None


def as_kind(
    kind: TableKind, columns: Mapping[int, ColumnProfile], ties: Ties, pair: EndsPair | None
) -> Understood | None:
    """A table's columns as one kind of table; None: they do not make one."""
    claims = sorted(_claims(kind, columns, ties, pair), key=lambda c: (-c.score, c.column))
    taken: dict[str, _Claim] = {}
    used: set[int] = set()
    for claim in claims:
        if claim.field not in taken and claim.column not in used and claim.score >= LEAST:
            taken[claim.field] = claim
            used.add(claim.column)
    if kind is TableKind.COMBINED and not {"near", "level", "sequence"} & taken.keys():
        _add_places(taken, used, columns, ties)
    if kind is TableKind.LEGEND and "type" not in taken:
        for name in ("symbol", "tag", "id"):
            if name in taken:
                taken["type"] = replace(taken.pop(name), field="type")
                break
    if kind is TableKind.COMBINED and "tag" not in taken and "id" in taken:
        taken["tag"] = replace(taken.pop("id"), field="tag")  # a wire's number names what it feeds
    if kind is TableKind.PULLS and pair is not None:
        _add_terminals(taken, used, columns)
        _add_controller(taken, used, columns)
    if "chain" in taken and "port" not in taken and "near_terminal" in taken:
        taken["port"] = replace(taken.pop("near_terminal"), field="port")
    if kind in (TableKind.PULLS, TableKind.COMBINED):
        _add_cabinet(taken, columns)
    if not any(needed <= taken.keys() for needed in REQUIRED[kind]):
        return None
    rivals = {
        name: tuple(c.column for c in claims if c.field == name and c.column not in used and c.score >= LEAST)
        for name in taken
    }
    uses = {name: _use(claim, columns[claim.column], ties) for name, claim in taken.items()}
    return Understood(
        kind=kind,
        columns=uses,
        languages=_languages(taken.values(), columns),
        rivals={name: others for name, others in rivals.items() if others},
        score=sum(min(claim.score, 1.6) for claim in taken.values()),
    )


def _add_terminals(taken: dict[str, _Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """A column without a heading right beside an end holds its terminals, if a port stands in it."""
    for name in ("near", "far"):
        column = columns.get(taken[name].column + 1)
        free = column is not None and column.column not in used and f"{name}_terminal" not in taken
        silent = column is not None and (not column.header or f"{name}_terminal" in by_words("pulls", column))
        numbers = [text for text in column.texts if text[:1].isdigit()] if column is not None else []
        ports = column is not None and any(map(port_alone, column.texts)) and all(map(port_alone, numbers))
        worded = column is not None and all(
            (p := port_alone(t)) is not None and p.worded for t in column.texts
        )
        if column is not None and free and ports and (silent or worded):
            taken[f"{name}_terminal"] = _Claim(f"{name}_terminal", column.column, 1.0, 0.0, "", None)
            used.add(column.column)


def _add_places(
    taken: dict[str, _Claim], used: set[int], columns: Mapping[int, ColumnProfile], ties: Ties
) -> None:
    """What feeds a device by its place alone: blanks before its name, or a number that starts again on each port."""
    indented = next((c for c, profile in columns.items() if profile.is_indented), None)
    if indented is not None:
        for name in [name for name, claim in taken.items() if claim.column == indented or name == "tag"]:
            used.discard(taken.pop(name).column)
        taken["tag"] = _Claim("tag", indented, 1.0, 0.0, "", None)
        taken["level"] = _Claim("level", indented, 1.0, 0.0, "", None)
        used.add(indented)
        return
    number = next((c for c, profile in columns.items() if profile.restarts and c not in used), None)
    tags = [c for c, p in columns.items() if p.distinct > 0.95 and share(p.keys, ties.tags) > 0.7]
    if number is None or not tags:
        return
    before = [
        c for c in sorted(columns) if c < number and columns[c].names > 0.8 and columns[c].distinct < 0.7
    ]
    if before:
        for name in [
            n
            for n, claim in taken.items()
            if claim.column in (number, tags[0], *before[-2:]) or n in ("tag", "port", "controller")
        ]:
            used.discard(taken.pop(name).column)
        taken["sequence"] = _Claim("sequence", number, 1.0, 0.0, "", None)
        taken["tag"] = _Claim("tag", tags[0], 1.0, 0.0, "", 1.0)
        for name, column in zip(("port", "controller"), reversed(before[-2:]), strict=False):
            taken[name] = _Claim(name, column, 1.0, 0.0, "", None)
        used.update((number, tags[0], *before[-2:]))


def _add_cabinet(taken: dict[str, _Claim], columns: Mapping[int, ColumnProfile]) -> None:
    """Before port and number on the port stands the controller, whatever it is called."""
    if "controller" in taken or not {"port", "sequence"} <= taken.keys():
        return
    column = columns.get(taken["port"].column - 1)
    if column is None or column.column in (
        c.column for n, c in taken.items() if n not in ("room", "name", "id")
    ):
        return
    if column.names > 0.8 and column.distinct < 0.6:
        for name in [name for name, claim in taken.items() if claim.column == column.column]:
            del taken[name]
        taken["controller"] = _Claim("controller", column.column, 1.0, 0.0, "", None)


def _add_controller(taken: dict[str, _Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """`From Panel` beside `From Port` names the controller, where another column names the device."""
    if "controller" in taken or not {"port", "near_terminal"} & taken.keys():
        return
    for number, column in columns.items():
        worded = by_words("pulls", column)
        says_near = worded.get("near", (0.0, ""))[0] >= 0.6
        if number not in used and says_near and column.distinct < 0.5 and column.names > 0.8:
            if "port" not in taken:
                taken["port"] = replace(taken.pop("near_terminal"), field="port")
            taken["controller"] = _Claim("controller", number, 1.0, 0.6, "", None)
            used.add(number)
            return


def _languages(claims: Iterable[_Claim], columns: Mapping[int, ColumnProfile]) -> tuple[str, ...]:
    found: list[str] = []
    for claim in claims:
        if claim.language:
            found.append(claim.language)
        elif claim.words:
            found += list(languages_of(columns[claim.column].header))[:1]
    return tuple(found)


def _claims(
    kind: TableKind, columns: Mapping[int, ColumnProfile], ties: Ties, pair: EndsPair | None
) -> Iterable[_Claim]:
    forced = _ends_of(kind, pair)
    for column, profile in columns.items():
        if column in forced.values():
            name = next(name for name, at in forced.items() if at == column)
            words, language = by_words(kind.value, profile).get(name, (0.0, ""))
            yield _Claim(name, column, 9.0, words, language, pair.tie if pair else None)
            continue
        worded = by_words(kind.value, profile)
        for rank, name in enumerate(dict.fromkeys((*worded, *ONLY_BY_VALUES, *ALSO_BY_VALUES))):
            if name in forced or (name == "near" and kind is TableKind.PULLS):
                continue
            if name == "type" and kind in (TableKind.DEVICES, TableKind.COMBINED) and _one_each(profile):
                continue
            words, language = worded.get(name, (0.0, ""))
            values = by_values(name, profile)
            if (
                values is None
                and words == 1.0
                and name in NUMERIC
                and profile.filled
                and (profile.unit is None or profile.unit in UNITS_OF_FIELD.get(name, ()))
            ):
                values = UNREADABLE  # the heading says it plainly; each value says why it cannot be read
            alone = not words and _values_alone(kind, name, profile, ties)
            if values is None or not (words or alone):
                continue
            values = (
                max(values, 1.0)
                if alone
                and name in (*ONLY_BY_VALUES, "id", "name", "status", "stranded", "shielded", "quantity")
                else values
            )
            relations = by_relations(name, profile, ties)
            score = strength(words, values, relations) + _rank(profile.header) - LATER * rank
            yield _Claim(name, column, score, words, language, relations)


def _one_each(column: ColumnProfile) -> bool:
    """Whether a column holds another name with digits in each row: tags, whatever its heading says."""
    return len(column.filled) > 6 and column.distinct > 0.95 and column.with_digits > 0.9


def _ends_of(kind: TableKind, pair: EndsPair | None) -> dict[str, int]:
    if pair is None:
        return {}
    if kind is TableKind.PULLS:
        return {"near": pair.near, "far": pair.far}
    return {"near": pair.near, "tag": pair.far} if kind is TableKind.COMBINED else {}


def _values_alone(kind: TableKind, name: str, column: ColumnProfile, ties: Ties) -> bool:  # noqa: PLR0911
    """Whether a role may be given to a column whose heading says nothing of it."""
    units = UNITS_OF_FIELD.get(name)
    if not column.filled:
        return False
    if name == "length_m":
        own = column.unit in (units or ()) and not column.is_units
        return kind in (TableKind.PULLS, TableKind.COMBINED, TableKind.LENGTHS) and own and _silent(column)
    if name == "id":
        return kind is TableKind.LENGTHS and share(column.keys, ties.ids) > 0.8 and column.distinct > 0.9
    if name == "name":
        boxes = matcher("splice").search(fold(column.header)) is not None
        return kind is TableKind.SPLICES and boxes and share(column.keys, ties.ends) > 0.5
    if name == "quantity":
        return (
            column.distinct < 0.9 and all(_TIMES.fullmatch(text) for text in column.texts) and _silent(column)
        )
    if name in ("stranded", "shielded"):
        other = {"stranded": "solid", "shielded": "unshielded"}[name]
        texts = {fold(text) for text in column.texts}
        return kind is TableKind.CABLES and all(text in word_list(name) | word_list(other) for text in texts)
    if name == "status":
        few = len(column.texts) <= 8 and (column.distinct < 0.6 or column.share_filled < 0.5)
        return few and any(len(text) > 1 and matcher("void").match(fold(text)) for text in column.texts)
    if name == "unit":
        return column.is_units and _silent(column)
    if name == "power_w":
        return (
            kind in (TableKind.DEVICES, TableKind.COMBINED, TableKind.LEGEND)
            and column.unit in (units or ())
            and _silent(column)
        )
    if name == "tag":
        return kind is TableKind.DEVICES and share(column.keys, ties.ends) > 0.5
    if name == "cable":
        return kind in (TableKind.PULLS, TableKind.COMBINED) and share(column.keys, ties.cables) > 0.5
    if name == "type":
        return kind in (TableKind.DEVICES, TableKind.COMBINED) and share(column.keys, ties.kinds) > 0.5
    return name in ("chain", "level") and _silent(column)


_TIMES = re.compile(
    r"[x×]\s*\d{1,3}|\d{1,3}\s*[x×]|\d{1,3}\s*(?:ea|pcs?|stk|st|uds?|pz|szt)\.?", re.IGNORECASE
)


def _silent(column: ColumnProfile) -> bool:
    """Whether the heading names nothing else that is known."""
    from auditor.intake.words import said

    return not any(strength >= 0.6 for strength in said(column.header).values()) if column.header else True


_GREATER = re.compile(
    r"\b(?:max\w*|peak|full|rated|actual|revised|new|final|measured|neu|aktuell|actuel|nuevo|real|total|gesamt)\b"
)
_LESSER = re.compile(
    r"\b(?:typ\w*|avg|average|mean|min|minimum|idle|standby|old|previous|est|estimated|mittel|alt|moyen|ancien|tipico|medio|antiguo|"
    r"name|description|bezeichnung|designation|nom|nombre)\b"
)  # fmt: skip


def _rank(text: str) -> float:
    """Of two columns for one role the one that holds goes first: maximum before typical, actual before
    estimated, a tag before a name."""
    folded = fold(text)
    return 0.05 * (bool(_GREATER.search(folded)) - bool(_LESSER.search(folded)))


def _use(claim: _Claim, column: ColumnProfile, ties: Ties) -> ColumnUse:
    units = UNITS_OF_FIELD.get(claim.field, frozenset())
    unit = column.heading_unit if column.heading_unit in units else None
    return ColumnUse(
        claim.field,
        claim.column,
        column.header,
        unit,
        heading(column.header).volts,
        _reason(claim, column, ties),
    )


def _reason(claim: _Claim, column: ColumnProfile, ties: Ties) -> str:
    """The evidence for a column's role in plain words."""
    said = []
    if claim.words:
        said.append(f"heading {column.header!r}" + (OF_THE_OFFICE if claim.language in OWN_LANGUAGES else ""))
    count = len(column.keys)
    if claim.field == "tag" and ties.ends and (met := len(column.keys & ties.ends)):
        said.append(f"{met} of its {count} values are ends of pulls")
    elif claim.field in ("near", "far") and ties.tags and (met := len(column.keys & ties.tags)):
        said.append(f"{met} of its {count} values are tags of the device list")
    elif claim.field == "cable" and ties.cables and (met := len(column.keys & ties.cables)):
        said.append(f"{met} of its {count} values are listed cable types")
    elif claim.field == "type" and ties.kinds and (met := len(column.keys & ties.kinds)):
        said.append(f"{met} of its {count} values are explained in a legend")
    if not claim.words and column.unit and claim.field in UNITS_OF_FIELD:
        said.append(f"its values are in {column.unit}")
    return "; ".join(said) or "its values are of this kind"


def titled(kind: TableKind, title: str) -> bool:
    pattern = _TITLES.get(kind)
    return pattern is not None and pattern.search(title) is not None
