"""Roles that a column's values alone can give, where its heading says nothing of them."""

import re
from collections.abc import Callable, Mapping
from functools import cache

from auditor.intake.roles.evidence import OF_A_STATUS, Ties, share
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import OTHER, UNITS_OF_FIELD, candidates, fold, matcher, said, says
from auditor.job.model import TableKind

FEW_ROWS = 5  # of a list in which one word that comes again is enough; project convention
MOST_SYSTEMS = 12  # words that tell a column of systems; project convention


@cache
def alone_in(kind: TableKind) -> tuple[str, ...]:
    """The roles that values alone can give in a kind of table."""
    return tuple(name for name, (kinds, _) in ALONE.items() if not kinds or kind in kinds)


def by_values_alone(name: str, column: ColumnProfile, ties: Ties) -> bool:
    """Whether a role may be given to a column whose heading says nothing of it."""
    return bool(column.filled) and ALONE[name][1](column, ties)


def _is_length(column: ColumnProfile, _: Ties) -> bool:
    if column.unit not in UNITS_OF_FIELD["length_m"] or column.is_units:
        return False
    return _silent(column) or _all_with_unit(column)


def _all_with_unit(column: ColumnProfile) -> bool:
    """Whether each cell is a quantity with its unit, below a heading that else names an end: `Run` over `40'`."""
    says = {name for name, strength in said(column.header).items() if strength >= 0.6}
    return says <= _OF_ENDS and sum(column.units.values()) == len(column.filled[:200])


def _is_power(column: ColumnProfile, _: Ties) -> bool:
    says = said(column.header) if column.header else {}
    return column.unit in UNITS_OF_FIELD["power_w"] and all(
        strength < 0.6 for name, strength in says.items() if name != "load"
    )


def _is_count(column: ColumnProfile, ties: Ties) -> bool:
    """Quantities with a mark, `x2`, mostly; a bare `1` may stand among them. `X16` in each row is a cable."""
    bare = {text for text in column.texts if text.isdigit()}
    marked = column.texts - bare
    if len(marked) < max(1, len(bare)) or not all(map(_TIMES.fullmatch, marked)):
        return False
    counts = {"".join(filter(str.isdigit, text)) for text in column.texts}
    return "1" in counts and column.distinct < 0.9 and not column.keys & ties.cables


def _is_status(column: ColumnProfile, _: Ties) -> bool:
    """Few words, one that voids a row or keeps it as a spare among them, and not most of them words of another matter: rooms, `Archief`."""
    again = column.distinct < (0.6 if len(column.filled) > FEW_ROWS else 1.0)
    if len(column.texts) > 8 or not (again or column.share_filled < 0.5):
        return False
    folded = {text: fold(text) for text in column.texts}
    if not any(
        len(text) > 1 and any(matcher(name).match(own) for name in ("void", "spare"))
        for text, own in folded.items()
    ):
        return False
    known = sum(any(matcher(name).match(own) for name in OF_A_STATUS) for own in folded.values())
    return known * 2 >= len(folded)


def heads_boxes(header: str) -> bool:
    """Whether a heading names splices, or may name them and no devices: `Boîte`, `Caja`."""
    if matcher("splice").search(fold(header)) is not None:
        return True
    of_boxes, of_devices = ({name for name, _ in candidates(kind, header)} for kind in ("splices", "devices"))
    return "name" in of_boxes and "tag" not in of_devices


def _names_boxes(column: ColumnProfile, ties: Ties) -> bool:
    return heads_boxes(column.header) and share(column.keys, ties.ends) > 0.5


def _all_say(*lists: str) -> "_Check":
    """A check that each text holds a word of one of these lists."""
    return lambda column, _: all(
        any(matcher(name).search(fold(text)) for name in lists) for text in column.texts
    )


def _tells_systems(column: ColumnProfile, _: Ties) -> bool:
    """Whether a few words that come again and again tell the bus from the mains or another trade."""
    if len(column.texts) > MOST_SYSTEMS:
        return False
    texts = {fold(text) for text in column.texts}
    others = [
        text for text in texts if matcher("mains").fullmatch(text) or matcher("other_trade").fullmatch(text)
    ]
    rest = len(texts) - len(others)
    told = any(map(matcher("bus").fullmatch, texts)) or (rest == 1 and column.share_filled > 0.9)
    return bool(others) and told


_OF_ENDS = frozenset({"chain", "port", "near", "far", "id"})
_TIMES = re.compile(
    r"[x×]\s*\d{1,3}|\d{1,3}\s*[x×]|\d{1,3}\s*(?:ea|pcs?|stk|st|uds?|pz|szt)\.?", re.IGNORECASE
)


def _silent(column: ColumnProfile) -> bool:
    """Whether the heading names nothing else that is known."""
    return not any(strength >= 0.6 for strength in said(column.header).values()) if column.header else True


def _names_quantity(column: ColumnProfile) -> bool:
    """Whether the heading names a length, a power or another figure with a unit."""
    strengths = said(column.header) if column.header else {}
    return any(strengths.get(name, 0.0) >= 0.6 for name in UNITS_OF_FIELD) or column.unit is not None


def _says_spare(column: ColumnProfile, _: Ties) -> bool:
    """Remarks under a heading that says nothing, one of them that a cable is not joined: `Reserve, niet aangesloten`."""
    remarks = [text for text in column.texts if len(text.split()) > 1]
    if not _silent(column) or len(remarks) * 2 < len(column.texts):
        return False
    return any(matcher("unjoined").search(fold(text)) for text in remarks)


LEAST_DISTINCT = 0.75  # share of a list's rows that name a device of their own; project convention
_Check = Callable[[ColumnProfile, Ties], bool]
_SCHEDULES = frozenset({TableKind.PULLS, TableKind.COMBINED})
_LISTS = frozenset({TableKind.DEVICES, TableKind.COMBINED})
ALONE: Mapping[
    str, tuple[frozenset[TableKind], _Check]
] = {  # role -> kinds of table (none: all), what the values show
    "length_m": (_SCHEDULES | {TableKind.LENGTHS}, _is_length),
    "power_w": (_LISTS | {TableKind.LEGEND}, _is_power),
    "unit": (frozenset(), lambda column, _: column.is_units and _silent(column)),
    "chain": (frozenset(), lambda column, _: _silent(column)),
    "level": (frozenset(), lambda column, _: not _names_quantity(column)),
    "tag": (
        frozenset({TableKind.DEVICES}),
        lambda column, ties: (
            share(column.keys, ties.ends) > 0.5
            and column.distinct >= LEAST_DISTINCT
            and not says(column.header, "near", OTHER)
        ),
    ),
    "name": (frozenset({TableKind.SPLICES}), _names_boxes),
    "cable": (_SCHEDULES | {TableKind.LENGTHS}, lambda column, ties: share(column.keys, ties.cables) > 0.5),
    "type": (_LISTS, lambda column, ties: share(column.keys, ties.kinds) > 0.5),
    "id": (
        frozenset({TableKind.LENGTHS}),
        lambda column, ties: share(column.keys, ties.ids) > 0.8 and column.distinct > 0.9,
    ),
    "status": (frozenset(), _is_status),
    "stranded": (frozenset({TableKind.CABLES}), _all_say("stranded", "solid")),
    "shielded": (frozenset({TableKind.CABLES}), _all_say("shielded", "unshielded")),
    "quantity": (frozenset(), _is_count),
    "system": (_SCHEDULES | _LISTS, _tells_systems),
    "note": (_SCHEDULES, _says_spare),
}
SURE_ALONE = frozenset(ALONE) - {"tag", "cable", "type"}  # these have relations that speak for them
