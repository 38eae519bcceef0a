"""Tables that hold more than one record in a row: ports as columns, rooms by kinds of device."""

from collections.abc import Mapping

from auditor.intake.blocks.grid import shape_of
from auditor.intake.grammar.values import words
from auditor.intake.names.ports import port_alone, spelled
from auditor.intake.names.ranges import each_tag, tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.evidence import Ties, share
from auditor.intake.roles.kinds import ColumnUse, Understood
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import says
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

PORT_COLUMNS, MATRIX = "ports as columns", "matrix"
MOST_OF_TAGS = 0.6  # share of a table's tags that its one column of tags holds; project convention
NAMED_TWICE = (
    0.7  # share of the rows with two names, of which one is an end, that are no matrix; project convention
)
LEAST_OF_KINDS = 2  # columns of tags that make a matrix


def shape_of_form(columns: Mapping[int, ColumnProfile], ties: Ties, *, of_ends: bool) -> Understood | None:
    """A table whose rows are no records, or None.

    Parameters
    ----------
    of_ends : two of its columns are the ends of pulls
    """
    return port_columns(columns, ties) or (None if of_ends else _matrix(columns, ties))


def port_in_heading(column: ColumnProfile) -> str | None:
    """The port that the text above a column names by its numbers, or that its heading names plainly."""
    if column.group and spelled(column.group):
        return column.group
    for text in (column.group, column.header):
        if text and (any(o.worded or "." in text or ":" in text or "/" in text for o in spelled(text))
                     or ((alone := port_alone(text)) is not None and alone.worded)):  # fmt: skip
            return text
    return None


def port_columns(columns: Mapping[int, ColumnProfile], ties: Ties) -> Understood | None:
    """A column for each port with the devices below in the order of their chain, lengths beside them."""
    uses: dict[str, ColumnUse] = {}
    seen: set[str] = set()
    for column, profile in columns.items():
        port = port_in_heading(profile)
        if (
            port is None
            or not _may_be_devices(profile, ties)
            or profile.names < 0.8
            or profile.distinct < 0.8
        ):
            continue
        beside = columns.get(column + 1)
        if beside is None or beside.quantities < 0.5 or port in seen:
            continue
        if any(other.names > 0.8 and other.quantities < 0.5 and other.share_filled > 0.8 for c, other in columns.items()
               if c != column and (other.group or other.header) == port):  # fmt: skip
            continue  # more than a device and its length stand under the port
        seen.add(port)
        number = len(seen)
        unit = beside.unit if beside.unit in LENGTH_M else None
        uses[f"device {number}"] = ColumnUse(
            f"device {number}", column, port, reason=f"heading {port!r} names a port"
        )
        uses[f"length {number}"] = ColumnUse(
            f"length {number}", column + 1, beside.header, unit, reason="beside the port's devices"
        )
    if not uses or (len(seen) < 2 and not ties.tags):
        return None
    return Understood(TableKind.PULLS, uses, (), shape=PORT_COLUMNS, score=len(uses))


def _may_be_devices(column: ColumnProfile, ties: Ties) -> bool:
    """Whether a column may name devices; numbers do where they are listed or the heading says so."""
    if column.quantities <= 0.5:
        return True
    return column.unit is None and (share(column.keys, ties.tags) > 0.7 or says(column.lower, "tag"))


def _matrix(columns: Mapping[int, ColumnProfile], ties: Ties) -> Understood | None:
    """Rooms in rows, kinds of device in columns, tags in the cells."""
    listed = frozenset().union(*(profile.keys for profile in columns.values())) & ties.ends
    if any(says(profile.header, "near") for profile in columns.values()):
        return None
    if not listed or any(_is_tag_column(profile, ties, listed) for profile in columns.values()):
        return None
    kinds = [
        column
        for column, profile in columns.items()
        if profile.header and profile.keys and _tags(profile, ties) > 0.5
    ]
    if len(kinds) < LEAST_OF_KINDS or max(kinds) - min(kinds) >= len(kinds) + 2:
        return None
    if len(kinds) == LEAST_OF_KINDS and _name_the_same(columns[kinds[0]], columns[kinds[1]], ties):
        return None
    kinds = _with_kinds_beside(kinds, columns)
    own: set[str] = set()
    for column in kinds:
        keys = columns[column].keys & ties.ends
        if own & keys:
            return None  # the ends of pulls: a name stands in both columns
        own |= keys
    uses = {
        f"kind {number}": ColumnUse(
            f"kind {number}", column, columns[column].header, reason="its cells hold tags that pulls end at"
        )
        for number, column in enumerate(kinds, 1)
    }
    before = [column for column in columns if column < min(kinds) and columns[column].names > 0.5]
    if before:
        room = before[-1]
        uses["room"] = ColumnUse("room", room, columns[room].header, reason="it stands before the kinds")
    return Understood(TableKind.DEVICES, uses, (), shape=MATRIX, score=len(uses))


def _name_the_same(one: ColumnProfile, other: ColumnProfile, ties: Ties) -> bool:
    """Whether two columns are two names of each device, of which pulls use now the one and now the other."""
    if any(map(tags_in, one.texts | other.texts)):
        return False
    rows = [(spelling(words(a)), spelling(words(b))) for a, b in zip(one.values, other.values, strict=True)]
    full = [row for row in rows if all(row)]
    either = sum((a in ties.ends) != (b in ties.ends) for a, b in full)
    return len(full) > NAMED_TWICE * len(rows) and either > NAMED_TWICE * len(full)


def _with_kinds_beside(kinds: list[int], columns: Mapping[int, ColumnProfile]) -> list[int]:
    """The columns of kinds with those between and beside them whose cells hold names of the same form, which no pull
    ends at."""
    forms = {shape_of(name) for column in kinds for name in _names(columns[column])}

    def names_devices(column: int) -> bool:
        profile = columns.get(column)
        if profile is None or not profile.header or not profile.texts or profile.with_digits < 1.0:
            return False
        return {shape_of(name) for name in _names(profile)} <= forms

    found = {*kinds, *filter(names_devices, range(min(kinds), max(kinds)))}
    for step in (-1, 1):
        column = (min(kinds) if step < 0 else max(kinds)) + step
        while names_devices(column):
            found.add(column)
            column += step
    return sorted(found)


def _names(profile: ColumnProfile) -> list[str]:
    """The names in the cells of a column, also of several in one cell."""
    return [name for text in profile.texts for name in each_tag(text)]


def _is_tag_column(profile: ColumnProfile, ties: Ties, listed: frozenset[str]) -> bool:
    """Whether a column alone lists the tags, one in each row, and holds most of those in the table."""
    if share(listed, profile.keys) < MOST_OF_TAGS:
        return False
    single = not any(tags_in(text) for text in profile.texts)
    return single and profile.share_filled > 0.9 and profile.distinct > 0.95 and _tags(profile, ties) > 0.9


def _tags(profile: ColumnProfile, ties: Ties) -> float:
    """Share of a column's names that are ends; of its numbers where it holds nothing else."""
    named = frozenset(key for key in profile.keys if any(map(str.isalpha, key)))
    return share(named or profile.keys, ties.ends)
