"""Tables in which a port stands in its own column and each row is one device: home runs, or places on the port."""

from collections.abc import Mapping, Sequence

from auditor.intake.names.ends import is_controller
from auditor.intake.names.ports import port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.ends import EndsPair, rows_alike
from auditor.intake.roles.evidence import by_words, share
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import OTHER, SAYS, candidates, fold, matcher, said, says, says_previous
from auditor.units import LENGTH_M

COMES_AGAIN = 0.7  # share of the cells of a column of ports that are the first of their value, at most
MOST_PORTS = 4  # numbers that a column of ports holds at most; project convention
_FEEDS = ("near", "port", "controller", "near_terminal")
_OTHER = frozenset({"note", "cable", "revision", "date", "drum", "core", "drawing"})  # of no port


def port_pair(columns: Mapping[int, ColumnProfile], others: frozenset[str]) -> EndsPair | None:
    """The port's column and the fed device's; None: no column holds ports, or it is not plain what they feed.

    Parameters
    ----------
    others : names that stand once each in a column of another table: tags and controllers
    """
    lengths = any(map(_holds_lengths, columns.values()))
    if not lengths and not _silent_numbers(columns):
        return None
    for column, controller in _port_columns(columns, others):
        sequence = _sequence(columns, column)
        taken = {column, controller, sequence}
        tag = _tag(columns, [c for c in columns if c not in taken], others)
        feeds = says(columns[column].header, "near", "far")  # `Home run to`: the row is the device
        if tag is None or columns[column].keys & columns[tag].keys:
            continue  # what feeds is fed itself
        if any(_names_feeders(columns[c], columns[tag]) for c in columns.keys() - taken - {tag}):
            continue
        feeds = feeds or (controller is None and _lists_home_runs(columns, column, tag, others))
        if sequence is not None or (lengths and controller is None and feeds):
            return EndsPair(column, tag, 1.0, 1.0, sequence=sequence, controller=controller)
    return None


def _lists_home_runs(
    columns: Mapping[int, ColumnProfile], port: int, tag: int, others: frozenset[str]
) -> bool:
    """Whether headings say nothing, each row has one length with its unit, and no other table has the tags."""
    lengths = [p for p in columns.values() if p.unit in LENGTH_M and p.quantities > 0.9]
    silent = not any(p.header and said(p.lower) for p in (columns[port], columns[tag]))
    listed = share(columns[tag].keys, others) > 0.0
    return silent and not listed and len(lengths) == 1 and lengths[0].share_filled > 0.9


def _names_feeders(column: ColumnProfile, tags: ColumnProfile) -> bool:
    """Whether a column names the devices of other rows: what feeds each is said by name, not by its place."""
    apart = rows_alike(column, tags) * 2 < len(column.filled)
    return len(column.keys) > 1 and share(column.keys, tags.keys) > 0.5 and apart


def _holds_lengths(column: ColumnProfile) -> bool:
    if column.quantities <= 0.5 and not column.is_units:
        return False
    return column.unit in LENGTH_M or by_words("pulls", column).get("length_m", (0.0, ""))[0] >= SAYS


def _silent_numbers(columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether no heading says anything and one column may hold lengths."""
    found = [p for p in columns.values() if p.quantities > 0.9 and not (p.is_counter or p.restarts)]
    silent = not any(p.header and said(p.header) for p in columns.values())
    return silent and len([p for p in found if len(set(p.numbers)) > MOST_PORTS]) == 1


def _port_columns(
    columns: Mapping[int, ColumnProfile], others: frozenset[str]
) -> list[tuple[int, int | None]]:
    """(a column of ports, the column of their controllers where that is another one)."""
    may_be = {c: profile for c, profile in columns.items() if not is_of_other_matter(profile)}
    whole = [(c, None) for c, profile in may_be.items() if _names_ports(profile, others)]
    parted = [
        (c, controller)
        for c, profile in may_be.items()
        if _numbers_ports(profile) and (controller := _controllers_of(columns, c, others)) is not None
    ]
    return [*whole, *parted]


def _controllers_of(columns: Mapping[int, ColumnProfile], port: int, others: frozenset[str]) -> int | None:
    """The column of the controllers of a column of ports: the next one, or the one left of it by which the places
    on each port come once each: a cable's name may stand between them. Right of it stand listed ones alone."""
    sequence = _sequence(columns, port)
    may_be = [
        c
        for c, profile in columns.items()
        if (c < port or (sequence is not None and profile.keys <= others))
        and c not in (port, sequence)
        and not is_of_other_matter(profile)
        and _names_controllers(profile, others, sequence is not None)
    ]
    beside = port - 1 if port - 1 in may_be else None
    if sequence is None:
        return beside
    once = [c for c in may_be if not _places_again(columns, (c, port, sequence))]
    known = [c for c in once if says(columns[c].header, "controller", "near") or columns[c].keys <= others]
    if beside in once or not once:
        return beside
    return (known or once)[-1]


def _places_again(columns: Mapping[int, ColumnProfile], which: tuple[int, ...]) -> bool:
    """Whether a row has a controller, a port and a place that an earlier row has."""
    rows = list(zip(*(columns[c].values for c in which), strict=True))
    return len(set(rows)) < len(rows)


def is_of_other_matter(column: ColumnProfile) -> bool:
    """Whether the whole heading is a known one of something that is no port: `Revision` over A, B, C."""
    if not column.header:
        return False
    fields = {name for name, _ in candidates("pulls", column.header)}
    other = OTHER in said(column.header) or not fields.isdisjoint(_OTHER)
    return other and fields.isdisjoint(_FEEDS)


def _names_ports(column: ColumnProfile, others: frozenset[str]) -> bool:
    """Whether each cell names a port with its controller, and there are few of them."""
    if not column.texts or not _nearly_full(column) or column.quantities > 0.5:
        return False
    if column.distinct > COMES_AGAIN or not all(map(spelled, column.texts)):
        return False
    worded = all(o[0].worded or is_controller(o[0].controller) for o in map(spelled, column.texts))
    listed = all(any(spelling(o.controller) in others for o in spelled(text)) for text in column.texts)
    return worded or listed or says(column.header, *_FEEDS)


def _nearly_full(column: ColumnProfile) -> bool:
    """Whether hardly a cell is blank; a sum stands without names below each table."""
    blank = len(column.values) - len(column.filled)
    return column.share_filled > 0.9 or blank <= max(1, len(column.by_table))


def _numbers_ports(column: ColumnProfile) -> bool:
    named = bool(column.texts) and all(map(port_alone, column.texts))
    return named and column.distinct <= COMES_AGAIN and column.heading_unit is None


def _names_controllers(column: ColumnProfile, others: frozenset[str], counted: bool) -> bool:
    """Whether each cell names a controller.

    Parameters
    ----------
    counted : the devices are counted on each port, so that any name may be one
    """
    if not column.keys or column.distinct > COMES_AGAIN or column.names < 0.9 or column.quantities > 0.5:
        return False
    if all(any(option.worded for option in spelled(text)) for text in column.texts):
        return False  # `HE11, port 1` has its port already
    named = all(map(is_controller, column.texts)) or (counted and column.with_digits == 1.0)
    return named or column.keys <= others or says(column.header, "controller", "near")


def _sequence(columns: Mapping[int, ColumnProfile], port: int) -> int | None:
    """The column that counts the devices of each port: 1, 2, 3, 1, 2 …"""
    if any(c != port and says(p.header, "near") and p.quantities < 0.5 for c, p in columns.items()):
        return None
    one_port = len(columns[port].texts) == 1
    header = columns[port].header
    starts = says(header, "near", "far") and not says(header, "port")  # of each pull: home runs
    hops = any(_says_hop(p.lower or p.header) for p in columns.values() if p.quantities > 0.5)
    found = [
        c
        for c, profile in columns.items()
        if c != port
        and (
            profile.restarts
            or (
                one_port
                and profile.is_counter
                and (hops or (says(profile.header, "sequence") and not starts))
            )
        )
    ]
    return found[0] if found else None


def _says_hop(header: str) -> bool:
    """Whether a heading of lengths counts from the previous device."""
    return says_previous(header) or matcher("hop").search(fold(header)) is not None


def _tag(columns: Mapping[int, ColumnProfile], free: Sequence[int], others: frozenset[str]) -> int | None:
    """The one column of single names that are devices: listed elsewhere, said by the heading, or the only one. Words
    that a list of kinds has too are none beside numbered tags."""
    single = [
        c
        for c in free
        if columns[c].distinct == 1.0
        and columns[c].names > 0.8
        and _nearly_full(columns[c])
        and not columns[c].counts_rows
        and columns[c].unit is None
        and not is_of_other_matter(columns[c])
    ]
    listed = [c for c in single if share(columns[c].keys, others) > 0.7]
    numbered = [c for c in single if columns[c].with_digits == 1.0 and says(columns[c].header, "tag")]
    if len(numbered) == 1 and all(columns[c].with_digits == 0.0 for c in listed):
        listed = numbered
    named = [c for c in single if says(columns[c].header, "tag", "far") and not says(columns[c].header, "id")]
    apart = [c for c in single if not columns[c].counts_up] or single
    lettered = [c for c in apart if columns[c].with_digits > 0.9 and columns[c].quantities < 0.1]
    for found in (listed, named, lettered if len(apart) == 1 else []):
        if len(found) == 1:
            return found[0]
    return None
