"""What an answer says of a table: what it lists and in which columns. It stands above all evidence."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.evidence import Ties, share
from auditor.intake.roles.kinds import BY_ANSWER, ColumnUse, Understood, as_kind
from auditor.intake.roles.lengths import settle_length
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD
from auditor.job.model import TableKind

MOST_LISTED = 0.5  # share of the far ends that a list of devices has: then the pulls' own table lists none
MOST_EXPLAINED = 0.5  # share of a column's names that a legend explains; project convention
_OF_DEVICES = frozenset({"power_w", "total_power_w", "type"})  # of a schedule that lists its devices too
_WITH_TAGS = (TableKind.DEVICES, TableKind.COMBINED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A table's kind, PULLS for any schedule, and role -> column; a pull's far end is also the tag of its row."""

    kind: TableKind
    columns: Mapping[str, int]

    @property
    def pair(self) -> EndsPair | None:
        """The columns of the ends; None: chains or levels, or a table that lists no pulls."""
        near, far = self.columns.get("near"), self.columns.get("far")
        if self.kind is not TableKind.PULLS or far is None:
            return None
        if near is not None:
            return EndsPair(near, far, 1.0, 1.0)
        port, sequence = self.columns.get("port"), self.columns.get("sequence")
        if port is None or sequence is None:
            return None
        return EndsPair(port, far, 1.0, 1.0, sequence=sequence, controller=self.columns.get("controller"))

    def within(self, columns: Collection[int]) -> "Given":
        """The same without columns that the tables of this form do not have: the answer is of another workbook."""
        own = {name: column for name, column in self.columns.items() if column in columns}
        return Given(kind=self.kind, columns=own)

    def roles_in(self, kind: TableKind) -> Mapping[str, int]:
        """role -> column in a table of one kind."""
        own = {"far": "tag"} if kind is TableKind.COMBINED else {}
        return {own.get(name, name): column for name, column in self.columns.items()}


def with_pair(given: Given, pair: EndsPair | None) -> tuple[Given, EndsPair | None]:
    """What an answer says of a table and the columns of its ends: what lists the devices that its own pulls lead
    to is a list of pulls.

    Parameters
    ----------
    pair : the columns of the ends by evidence
    """
    if pair is not None and given.kind is TableKind.DEVICES and given.columns.get("tag") == pair.far:
        own = {name: column for name, column in given.columns.items() if name != "tag"}
        own = {name: column for name, column in own.items() if column not in pair.roles.values()}
        given = Given(kind=TableKind.PULLS, columns={**own, **pair.roles})
    return given, given.pair


def as_given(
    given: Given, columns: Mapping[int, ColumnProfile], pair: EndsPair | None, ties: Ties
) -> Understood:
    """The table as an answer has it read, with what evidence says of its other columns. A schedule that has its
    devices' data, which no other list has, lists the devices too."""
    for kind in _kinds_of(given, columns, ties):
        found = as_kind(kind, columns, ties, pair, given.roles_in(kind))
        found = found and _with_kind(found, columns, ties)
        if found is not None and (kind is not TableKind.COMBINED or _OF_DEVICES & found.columns.keys()):
            return found if "length_m" in given.columns else settle_length(found, columns)
    return _plainly(given, columns)


def controllers_told(given: Given | None, columns: Mapping[int, ColumnProfile]) -> frozenset[str]:
    """What feeds and is not fed, where an answer says in which column its ports stand."""
    roles = given.columns if given is not None else {}
    if "near" not in roles or not {"near_terminal", "port"} & roles.keys():
        return frozenset()
    return columns[roles["near"]].keys - columns[roles["far"]].keys


def _kinds_of(given: Given, columns: Mapping[int, ColumnProfile], ties: Ties) -> list[TableKind]:
    """What a table is read as, the first that fits."""
    if given.kind is not TableKind.PULLS or "far" not in given.columns:
        return [given.kind]
    listed = share(columns[given.columns["far"]].keys, ties.tags) > MOST_LISTED
    return [TableKind.PULLS] if listed else [TableKind.COMBINED, TableKind.PULLS]


def _with_kind(found: Understood, columns: Mapping[int, ColumnProfile], ties: Ties) -> Understood:
    """A list of devices with the column of their kinds, whatever it is called: what a legend explains stands in it."""
    known = {"type", "power_w"} & found.columns.keys()
    if found.kind not in _WITH_TAGS or known or "tag" not in found.columns:
        return found
    explained = {c: share(profile.keys, ties.kinds | ties.explained) for c, profile in columns.items()}
    best = max(explained, key=lambda c: (explained[c], -c), default=None)
    if best is None or explained[best] <= MOST_EXPLAINED or best == found.columns["tag"].column:
        return found
    use = ColumnUse("type", best, columns[best].header, reason="what the table explains")
    others = {name: each for name, each in found.columns.items() if each.column != best}
    return replace(found, columns={**others, "type": use})


def _plainly(given: Given, columns: Mapping[int, ColumnProfile]) -> Understood:
    """The table with the columns of the answer and no others."""
    uses = {}
    for name, column in given.columns.items():
        unit = columns[column].heading_unit
        known = unit if unit in UNITS_OF_FIELD.get(name, ()) else None
        uses[name] = ColumnUse(name, column, columns[column].header, known, None, BY_ANSWER)
    return Understood(given.kind, uses, ())
