"""The roles of one table's columns as one kind of table, assigned jointly: one column to one role."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.alone import SURE_ALONE, alone_in, by_values_alone
from auditor.intake.roles.chains import chain_beside_lengths, port_of_chains
from auditor.intake.roles.claims import Claim
from auditor.intake.roles.completed import complete
from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.evidence import (
    LEAST,
    NUMERIC,
    WORDS,
    Ties,
    by_relations,
    by_values,
    by_words,
    share,
    strength,
)
from auditor.intake.roles.marks import OF_REVISION, marks_of
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.roles.reasons import evidence
from auditor.intake.words import (
    OWN_LANGUAGES,
    SAYS,
    UNITS_OF_FIELD,
    candidates,
    fold,
    heading,
    languages_of,
    said,
)
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

OF_THE_OFFICE = " of headings.json"  # in the reason of a column whose heading is none of the shipped ones
ROWS, STEPS = "rows", "steps"  # a record in each row; a column for each depth
GRID, DRAWN = "grid", "drawn"  # a column for each place; pulls drawn with cells
MOST_ALIKE = 3  # pulls may have one number in common, as cores of a cable have; not all of them
UNREADABLE = -0.8  # what values that are no numbers say against a number
LEAST_OF_ENDS = 0.6  # share of the cells with both ends of a pull that stand once: a spare has them twice
LEAST_FEEDING = 2  # names of a column that feed rows of its own table
UNKNOWN_STATUS = 0.35  # how well values suit a status that are no words of one, at most
_PLACES = frozenset({"room", "floor"})
LATER = 0.001  # what a later meaning of one heading has less
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
_TERMINALS = ("near_terminal", "far_terminal")
_OF_BOTH_ENDS = frozenset({"chain", "id", "port", "cable", "name", "near", "far"})  # what `Link` may name
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
    shape: str = ROWS
    settled: tuple[Settled, ...] = ()


BY_LAYOUT, BY_ANSWER = "the layout says so", "an answer says so"  # why a column is read so


def by_layout(understood: Understood) -> bool:
    """Whether a layout says what the columns of the table are: none of the others is asked about."""
    return any(use.reason == BY_LAYOUT for use in understood.columns.values())


def as_kind(
    kind: TableKind,
    columns: Mapping[int, ColumnProfile],
    ties: Ties,
    pair: EndsPair | None,
    given: Mapping[str, int] = {},
) -> Understood | None:
    """A table's columns as one kind of table; None: they do not make one.

    Parameters
    ----------
    given : role -> column that an answer says
    """
    claims = sorted(_claims(kind, columns, ties, pair, given), key=lambda c: (-c.score, c.column))
    if kind is TableKind.COMBINED and not given:
        claims = _tags_that_feed(claims, columns)
    taken: dict[str, Claim] = {}
    used: set[int] = set()
    for claim in claims:
        if claim.field not in taken and claim.column not in used and claim.score >= LEAST:
            taken[claim.field] = claim
            used.add(claim.column)
    complete(kind, taken, used, columns, ties, pair)
    if not given and not any(needed <= taken.keys() for needed in REQUIRED[kind]):
        return None
    rivals = {
        name: tuple(c.column for c in claims if c.field == name and c.column not in used and c.score >= LEAST)
        for name in taken
    }
    uses = {name: _use(kind, claim, columns[claim.column], ties) for name, claim in taken.items()}
    uses |= {name: replace(uses[name], reason=BY_ANSWER) for name in given if name in uses}
    steps = columns[taken["level"].column].depths if "level" in taken else ()
    for number, column in enumerate(steps, 1):
        uses[f"step {number}"] = replace(uses["level"], field=f"step {number}", column=column)
    return Understood(
        kind=kind,
        columns=uses,
        languages=_languages(taken.values(), columns),
        rivals={name: others for name, others in rivals.items() if others},
        score=sum(min(claim.score, 1.6) for claim in taken.values()),
        shape=STEPS if steps else ROWS,
    )


def _tags_that_feed(claims: list[Claim], columns: Mapping[int, ColumnProfile]) -> list[Claim]:
    """The claims without the names that feed no row of the table, where another column's names do, whatever it is
    called: a kind of device stands beside its tag."""
    near = next((c.column for c in claims if c.field == "near" and c.words >= SAYS), None)
    tags = [claim for claim in claims if claim.field == "tag"]
    if near is None or not tags:
        return claims
    feeding = [
        c
        for c, p in columns.items()
        if c != near and p.quantities == 0.0 and len(p.keys & columns[near].keys) >= LEAST_FEEDING
    ]
    named = [c.column for c in tags if c.column in feeding]
    once = [c for c in feeding if _names_each_row(columns[c])]
    if not named and len(once) == 1:
        return [Claim("tag", once[0], 9.0, 0.0, "", 1.0), *(c for c in claims if c.field != "tag")]
    return [c for c in claims if c.field != "tag" or not named or c.column in named]


def _names_each_row(column: ColumnProfile) -> bool:
    """Whether each row has a name of its own with a number."""
    return column.distinct == 1.0 and column.with_digits == 1.0 and column.share_filled > 0.9


def _says_feeds(columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether a heading says what feeds each row: then a row's own device may feed nothing."""
    return any(by_words("combined", p).get("near", (0.0, ""))[0] >= SAYS for p in columns.values())


def _languages(claims: Iterable[Claim], columns: Mapping[int, ColumnProfile]) -> tuple[str, ...]:
    found: list[str] = []
    for claim in claims:
        if claim.language:
            found.append(claim.language)
        elif claim.words:
            found += list(languages_of(columns[claim.column].header))[:1]
    return tuple(found)


def _claims(
    kind: TableKind,
    columns: Mapping[int, ColumnProfile],
    ties: Ties,
    pair: EndsPair | None,
    given: Mapping[str, int],
) -> Iterable[Claim]:
    found = {**_marks_of(kind, columns, pair), **(_ends_of(kind, pair) or _chains_of(kind, columns))}
    forced = {**{name: c for name, c in found.items() if c not in given.values()}, **given}
    fed = kind is TableKind.COMBINED and _says_feeds(columns)
    tagged = any(_names_each(kind, profile) for profile in columns.values())
    for column, profile in columns.items():
        if column in forced.values():
            name = next(name for name, at in forced.items() if at == column)
            words, language = by_words(kind.value, profile).get(name, (0.0, ""))
            yield Claim(name, column, 9.0, words, language, pair.tie if pair else None)
            continue
        if kind is TableKind.PULLS and pair is None and _holds_both_ends(column, columns, ties):
            yield Claim("chain", column, 9.0, 0.0, "", 1.0)
            continue
        worded = by_words(kind.value, profile)
        for rank, name in enumerate(dict.fromkeys((*worded, *alone_in(kind)))):
            if name in forced or (name == "near" and kind is TableKind.PULLS):
                continue
            if _cannot_be(name, profile, tagged=tagged):
                continue
            words, language = worded.get(name, (0.0, ""))
            name = _terminal_by_group(name, profile, columns, pair)  # noqa: PLW2901
            if _is_other(name, kind, profile, words):
                continue
            values = by_values(name, profile)
            if (
                values is None
                and words == 1.0
                and name in NUMERIC
                and profile.filled
                and (profile.unit is None or profile.unit in UNITS_OF_FIELD.get(name, ()))
                and not _named_each(profile)
            ):
                values = UNREADABLE  # the heading says it plainly; each value says why it cannot be read
            alone = not words and by_values_alone(name, profile, ties)
            if values is None or not (words or alone):
                continue
            values = max(values, 1.0) if alone and name in SURE_ALONE else values
            relations = by_relations(name, profile, ties)
            if name == "tag" and fed:
                relations = max(relations or 0.0, 0.0)
            score = strength(words, values, relations) + _rank(profile.header) - LATER * rank
            if alone and name == "level":
                score += WORDS * _has_lengths(columns)  # `Niveau` over 1, 1.1, 1.1.1 is no floor
            yield Claim(name, column, score, words, language, relations)


def _terminal_by_group(
    name: str, column: ColumnProfile, columns: Mapping[int, ColumnProfile], pair: EndsPair | None
) -> str:
    """The terminal of the end that stands under the same group: `A` may head the near end or, in Spanish, the far one."""
    if name not in _TERMINALS or pair is None or pair.far not in columns or pair.near not in columns:
        return name
    near, far = columns[pair.near].group, columns[pair.far].group
    if not column.group or near == far:
        return name
    return {near: "near_terminal", far: "far_terminal"}.get(column.group, name)


def _cannot_be(name: str, profile: ColumnProfile, *, tagged: bool) -> bool:
    """Whether a column's values speak against a role that its heading may say.

    Parameters
    ----------
    tagged : whether another column names each row
    """
    if name == "port":
        return profile.heading_unit in LENGTH_M and profile.quantities > 0.5  # `Run (m)` is a length
    if name == "tag":
        return tagged and (profile.is_counter or profile.distinct < 1.0)
    return name == "id" and len(profile.filled) > MOST_ALIKE and len(profile.texts) == 1


def _names_each(kind: TableKind, profile: ColumnProfile) -> bool:
    """Whether each row has a name of its own with letters and digits, below a heading that may say tag."""
    numbered = profile.with_digits == 1.0 and profile.quantities == 0.0
    once = profile.distinct == 1.0 and profile.share_filled > 0.9
    return numbered and once and by_words(kind.value, profile).get("tag", (0.0, ""))[0] > 0.0


def _is_other(name: str, kind: TableKind, profile: ColumnProfile, words: float) -> bool:
    """Whether values show that a column is not what its heading may say: tags are no types, rooms
    no status, lengths of two issues no marks."""
    if name == "type" and kind in (TableKind.DEVICES, TableKind.COMBINED):
        return _one_each(profile)
    if name in ("start_mark_m", "end_mark_m"):
        return OF_REVISION.search(fold(profile.header)) is not None
    return name == "status" and words < 1.0 and _says_places(kind, profile)


def _says_places(kind: TableKind, profile: ColumnProfile) -> bool:
    """Whether the last word of a heading is one for places and the values are no words of a status: `Situation Salle`
    over rooms, one of them `Réserve`."""
    last = {name for word in profile.header.split()[-1:] for name, _ in candidates(kind.value, word)}
    return bool(_PLACES & last) and (by_values("status", profile) or 0.0) <= UNKNOWN_STATUS


def _marks_by_words(columns: Mapping[int, ColumnProfile]) -> tuple[int, int] | None:
    """The mark at which a cable begins and the one at which it ends: `Begin [ft]` beside `End mark [ft]`."""
    numeric = {c: p for c, p in columns.items() if p.quantities > 0.8 and p.heading_unit in LENGTH_M}
    ends = [c for c, p in numeric.items() if by_words("pulls", p).get("end_mark_m", (0.0, ""))[0] >= SAYS]
    starts = [
        c
        for c, p in numeric.items()
        if {name for name, _ in candidates("pulls", p.header)} & {"near", "start_mark_m"}
    ]
    return (starts[0], ends[0]) if len(starts) == len(ends) == 1 else None


def _marks_of(kind: TableKind, columns: Mapping[int, ColumnProfile], pair: EndsPair | None) -> dict[str, int]:
    if kind not in (TableKind.PULLS, TableKind.COMBINED):
        return {}
    found = marks_of(columns) or _marks_by_words(columns)
    if found and pair is not None and {pair.near, pair.far} & set(found):
        return {}
    return dict(zip(("start_mark_m", "end_mark_m"), found, strict=True)) if found else {}


def _chains_of(kind: TableKind, columns: Mapping[int, ColumnProfile]) -> dict[str, int]:
    found = chain_beside_lengths(columns) if kind is TableKind.PULLS else None
    if found is None:
        return {}
    port = port_of_chains(columns, *found)
    return {"chain": found[0], "length_m": found[1], **({"port": port} if port is not None else {})}


def _has_lengths(columns: Mapping[int, ColumnProfile]) -> bool:
    return any(
        profile.quantities > 0.5 and (profile.unit in LENGTH_M or "length_m" in by_words("pulls", profile))
        for profile in columns.values()
    )


def _holds_both_ends(number: int, columns: Mapping[int, ColumnProfile], ties: Ties) -> bool:
    """Whether each cell of a column holds both ends of a pull, `C2.1 - KP14`, in a table that lists no tags."""
    column = columns[number]
    if (
        not column.is_chain
        or column.distinct < LEAST_OF_ENDS
        or not said(column.header).keys() <= _OF_BOTH_ENDS
    ):
        return False
    chains = [names_in_chain(text) for text in column.texts]
    ends = frozenset(spelling(name) for names in chains for name in names)
    listed = any(share(other.keys, ties.tags) > 0.5 for c, other in columns.items() if c != number)
    return all(len(names) == 2 for names in chains) and share(ends, ties.tags) > 0.5 and not listed


def _one_each(column: ColumnProfile) -> bool:
    """Whether a column holds another name with digits in each row: tags, whatever its heading says."""
    return len(column.filled) > 6 and column.distinct > 0.95 and column.with_digits > 0.9


def _named_each(column: ColumnProfile) -> bool:
    """Whether each cell holds a name of its own: `R1`, `R2` are no lengths that cannot be read."""
    return (
        column.distinct > 0.9
        and column.with_digits > 0.9
        and all(text[:1].isalpha() for text in column.texts)
    )


def _ends_of(kind: TableKind, pair: EndsPair | None) -> dict[str, int]:
    if pair is None or kind not in (TableKind.PULLS, TableKind.COMBINED):
        return {}
    fed = "far" if kind is TableKind.PULLS else "tag"
    return {(fed if name == "far" else name): column for name, column in pair.roles.items()}


_METER = re.compile(r"(?i:mtrs?|met(?:er|re)s?)(?=[\W_A-Z])")
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


def _use(kind: TableKind, claim: Claim, column: ColumnProfile, ties: Ties) -> ColumnUse:
    units = UNITS_OF_FIELD.get(claim.field, frozenset())
    unit = column.heading_unit if column.heading_unit in units else None
    if claim.field in ("start_mark_m", "end_mark_m") and (match := _METER.match(column.header)):
        unit = heading(column.header[match.end() :]).unit  # `MTR_START` is a mark on the cable, not its unit
    return ColumnUse(
        claim.field,
        claim.column,
        column.header,
        unit,
        heading(column.header).volts,
        _reason(kind, claim, column, ties),
    )


def _reason(kind: TableKind, claim: Claim, column: ColumnProfile, ties: Ties) -> str:
    """The evidence for a column's role in plain words."""
    if claim.language in OWN_LANGUAGES:
        return f"heading {column.header!r}{OF_THE_OFFICE}"
    return evidence(kind, claim, column, ties)


def titled(kind: TableKind, title: str) -> bool:
    pattern = _TITLES.get(kind)
    return pattern is not None and pattern.search(title) is not None
