"""What a list of cable types is known by before anything else is understood: a cable's name is no end of a pull."""

from collections.abc import Iterable, Mapping

from auditor.intake.roles.completed import LEAST_OF_A_CABLE, OF_A_CABLE
from auditor.intake.roles.evidence import Ties, by_words
from auditor.intake.roles.kinds import as_kind
from auditor.intake.roles.profiles import ColumnProfile
from auditor.job.model import TableKind


def cable_names(tables: Iterable[Mapping[int, ColumnProfile]]) -> frozenset[str]:
    """The names in lists whose headings say what cables are made of, without their spelling.

    Parameters
    ----------
    tables : the columns of each table
    """
    found: set[str] = set()
    for columns in tables:
        said = {name for profile in columns.values() for name in by_words("cables", profile)}
        if len(OF_A_CABLE & said) < LEAST_OF_A_CABLE:
            continue
        understood = as_kind(TableKind.CABLES, columns, Ties(), None)
        if understood is not None and len(OF_A_CABLE & understood.columns.keys()) >= LEAST_OF_A_CABLE:
            found |= columns[understood.columns["name"].column].keys
    return frozenset(found)


def without_cables(columns: Mapping[int, ColumnProfile], cables: frozenset[str]) -> dict[int, ColumnProfile]:
    """The columns but for those that name nothing but cable types."""
    return {c: profile for c, profile in columns.items() if not profile.keys or not profile.keys <= cables}
