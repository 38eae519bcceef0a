"""How strongly words, values and relations speak for a column's role; each 0 to 1, decided by margins."""

from dataclasses import dataclass

from auditor.intake.grammar.values import words
from auditor.intake.names.ranges import tags_in
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD, candidates, fields_of, fold, matcher, said, says
from auditor.units import LENGTH_M

WORDS, VALUES, RELATIONS = 1.0, 0.5, 0.8  # what each kind of evidence weighs at most; project conventions
LEAST = 0.45  # a role is not given for less
TOKEN = 0.85  # of a whole heading's weight: one word of a longer heading

OF_ROWS = frozenset({"system", "status", "scope", "note"})  # roles that any table can have
OF_A_STATUS = ("void", "landed", "current", "spare")  # lists of what a status says
LEAST_WORDS = 0.5  # of a heading that speaks for a role at all

NUMERIC = frozenset(UNITS_OF_FIELD) - {"gauge"} | {"quantity", "ports", "conductors", "price", "on_shelf"}
NAMES = frozenset({"tag", "id", "near", "far", "name", "cable", "near_terminal", "far_terminal"})
_LENGTHS = frozenset(LENGTH_M)


@dataclass(slots=True)
class Ties:
    """What the columns of the whole workbook share, as names without their spelling."""

    ends: frozenset[str] = frozenset()  # of every pull
    fed: frozenset[str] = frozenset()  # the far ends
    tags: frozenset[str] = frozenset()  # of the device lists
    cables: frozenset[str] = frozenset()  # names in tables of cable types
    kinds: frozenset[str] = frozenset()  # keys of legends
    explained: frozenset[str] = frozenset()  # of those that are read as legends
    end_texts: frozenset[str] = frozenset()  # the ends as they are spelled, case apart
    ids: frozenset[str] = frozenset()  # of pulls whose length stands elsewhere
    cables_used: frozenset[str] = frozenset()  # that pulls name
    kinds_used: frozenset[str] = frozenset()  # that devices name
    controllers: frozenset[str] = frozenset()  # that ports name
    told: frozenset[str] = frozenset()  # controllers by an answer that says in which column their ports stand


def share(keys: frozenset[str], of: frozenset[str]) -> float:
    """Which part of a column's names stands among others."""
    return len(keys & of) / len(keys) if keys else 0.0


def by_words(kind: str, column: ColumnProfile) -> dict[str, tuple[float, str]]:
    """field -> (strength, language) of what a heading may name in a kind of table. Each column remembers it."""
    if kind not in column.worded:
        column.worded[kind] = _words(kind, column) if column.header else {}
    return column.worded[kind]


def _words(kind: str, column: ColumnProfile) -> dict[str, tuple[float, str]]:
    whole = _by_text(kind, column.header)
    if column.lower == column.header or not column.lower:
        return whole
    below = {
        name: (0.95 * strength, language)
        for name, (strength, language) in _by_text(kind, column.lower).items()
    }
    if any(
        name in whole
        for name in (
            "conduit_length_m",
            "far_terminal",
            "near_terminal",
            "near",
            "far",
            "near_place",
            "far_place",
        )
    ):
        of_ends = (
            "length_m",
            "tag",
            "room",
            "port",
            "near",
            "far",
            "near_terminal",
            "far_terminal",
            "near_place",
            "far_place",
        )
        below = {name: s for name, s in below.items() if name not in of_ends}
    return {**below, **whole}


def _by_text(kind: str, text: str) -> dict[str, tuple[float, str]]:
    exact = {name: (1.0, language) for name, language in candidates(kind, text)}
    own = fields_of(kind)
    tokens = {
        name: (TOKEN * strength, "")
        for name, strength in said(text, kind).items()
        if name in own and strength >= LEAST_WORDS
    }
    of_rows = {
        name: (TOKEN * strength, "")
        for name, strength in said(text).items()
        if name in OF_ROWS and strength >= LEAST_WORDS
    }
    return {**exact, **{n: s for n, s in {**of_rows, **tokens}.items() if n not in exact}}


def by_values(name: str, column: ColumnProfile) -> float | None:
    """How well the values suit a role, -1 to 1; None: they cannot be it. Each column remembers it."""
    if name not in column.suits:
        column.suits[name] = _suits(name, column)
    return column.suits[name]


def _suits(name: str, column: ColumnProfile) -> float | None:
    if not column.filled:
        return None if name in ("near", "far", "tag", "chain", "level") else 0.0
    check = _CHECKS.get(name)
    if check is not None:
        return check(column)
    if name in NUMERIC:
        return _number(name, column)
    if name in NAMES:
        return _name(name, column)
    return 0.0


def _number(name: str, column: ColumnProfile) -> float | None:
    units = UNITS_OF_FIELD.get(name)
    unit = column.unit
    if column.quantities < 0.3:
        numbered = sum(text[:1].isdigit() or text[:1] in ".?~" for text in column.texts)
        return -0.3 if numbered * 3 > len(column.texts) else None
    if units is not None and unit is not None and unit not in units:
        return None
    fit = 0.4 if units is not None and unit is not None else 0.1
    if column.is_counter and unit is None and name not in ("ports", "on_shelf"):
        fit -= 0.6
    return fit


def _name(name: str, column: ColumnProfile) -> float | None:  # noqa: PLR0911
    lettered = name == "cable" and column.texts == {"A"}  # a wire's letter, not amperes
    if column.names < 0.6 or (column.is_units and len(column.values) > 1 and not lettered):
        return None
    if column.unit in _LENGTHS:
        return None
    if name == "tag" and column.distinct < 0.5 and len(column.filled) > 4:
        return None
    if name == "id" and column.distinct < 0.5 and len(column.filled) > 6 and column.quantities > 0.9:
        return None  # a count that begins again under each heading
    if name == "id" and column.is_counter and len(column.by_table) > 1:
        return None  # each table counts its own rows
    if name in ("tag", "id", "name"):
        few = len(column.filled) < 2
        return (
            (0.3 if column.distinct > 0.9 or few else -0.2 if column.distinct > 0.7 else -0.4)
            + (0.2 if column.share_filled > 0.9 else 0.0)
            - (0.1 if name == "tag" and column.is_counter else 0.0)
        )
    if (
        name in ("near_terminal", "far_terminal")
        and (column.is_counter or column.distinct > 0.9)
        and len(column.filled) > 6
    ):
        return None
    if name in ("near", "far", "near_terminal", "far_terminal"):
        measured = column.quantities > 0.9 and column.unit is not None
        return None if measured and not _says_end_in_a_letter(name, column) else 0.1
    return 0.1 if not column.quantities > 0.9 else -0.4


def _says_end_in_a_letter(name: str, column: ColumnProfile) -> bool:
    """Whether `A` over whole numbers, each its own, is the word for an end and no unit."""
    whole = all(number.is_integer() for number in column.numbers)
    exact = any(field == name for field, _ in candidates("pulls", column.header)) if column.header else False
    return len(column.header) == 1 and exact and whole and column.distinct > 0.9


def _unit(column: ColumnProfile) -> float | None:
    return 1.0 if column.is_units else None


def _levels(column: ColumnProfile) -> float | None:
    return 1.0 if column.is_levels and column.distinct > 0.9 else None


def _chain(column: ColumnProfile) -> float | None:
    if column.is_chain:
        return 1.0
    listed = sum(tags_in(text) is not None for text in column.texts)
    worded = says(column.header, "chain")
    return 0.6 if worded and listed * 2 > len(column.texts) else None


def _few(column: ColumnProfile) -> float | None:
    """Words that come again and again: a system, a status, a core, a kind."""
    return 0.3 if column.distinct < 0.6 else -0.1


def _scope(column: ColumnProfile) -> float | None:
    fit = _status(column)
    return None if fit is not None and fit > 0.35 else _few(column)


def _status(column: ColumnProfile) -> float | None:
    """A few words that come again and again, words of a status among them."""
    if column.quantities > 0.5 or column.with_digits > 0.7:
        return None
    known = sum(bool(matcher(name).match(fold(text))) for text in column.texts for name in OF_A_STATUS)
    return (0.3 if column.distinct < 0.6 else -0.1) + (0.4 if known * 2 > len(column.texts) else 0.0)


def _short_or_number(column: ColumnProfile) -> float | None:
    if not all(len(text) <= 24 for text in column.texts):
        return None
    each_its_own = len(column.filled) > 6 and column.distinct > 0.8
    return None if each_its_own or (column.is_counter and len(column.filled) > 8) else 0.1


def _sequence(column: ColumnProfile) -> float | None:
    return 0.2 if column.quantities > 0.8 and column.unit is None else None


def _quantity(column: ColumnProfile) -> float | None:
    counts = [text.casefold().strip("x× ").split(" ")[0] for text in column.texts]
    whole = sum(text.isdigit() and 0 < int(text) < 10_000 for text in counts)
    if whole * 2 < len(counts) or column.unit is not None:
        return None if whole == 0 else -0.5
    return -0.4 if column.is_counter else 0.3


def _core(column: ColumnProfile) -> float | None:
    """Colours, poles or small numbers, a few that come again and again."""
    texts = {words(value) for value in column.values if value != ""}
    short = all(len(text) <= 12 and sum(map(str.isdigit, text)) < 2 for text in texts)
    return 0.3 if 2 <= len(texts) <= 6 and short and column.distinct < 0.6 else None


def _gauge(column: ColumnProfile) -> float | None:
    numbered = sum(any(map(str.isdigit, text)) for text in column.texts)
    return 0.2 if numbered * 2 > len(column.texts) else None


def _no_measure(column: ColumnProfile) -> float | None:
    """What names a drum or a kind of load is no length and no power."""
    measured = column.quantities > 0.5 and column.unit is not None
    return None if measured else 0.1


_CHECKS = {
    "drum": _no_measure,
    "load": _no_measure,
    "gauge": _gauge,
    "unit": _unit,
    "level": _levels,
    "chain": _chain,
    "core": _core,
    "system": _few,
    "scope": _scope,
    "status": _status,
    "quantity": _quantity,
    "port": _short_or_number,
    "slot": _short_or_number,
    "sequence": _sequence,
}


def by_relations(name: str, column: ColumnProfile, ties: Ties) -> float | None:
    """What the values have in common with the rest of the workbook, -1 to 1; None: it has nothing to say."""
    if name == "tag" and ties.ends:
        return share(column.keys, ties.ends) * 2 - 1 if column.keys else None
    if name == "cable" and ties.cables:
        found = share(column.keys, ties.cables)
        return found if found else -0.3
    if name == "type" and ties.kinds:
        return share(column.keys, ties.kinds) * 1.5 - 0.5
    if name in ("id", "quantity") and column.keys and ties.ends and not column.quantities > 0.9:
        spelled = {text.casefold() for text in column.texts}  # pull `A-1` is not device `A1`
        met = min(share(column.keys, ties.ends), len(spelled & ties.end_texts) / max(1, len(spelled)))
        return None if name == "quantity" and met <= 0.5 else -met  # `x1` beside a splice X1
    return None


def strength(words: float, values: float, relations: float | None) -> float:
    return WORDS * words + VALUES * values + RELATIONS * (relations or 0.0)
