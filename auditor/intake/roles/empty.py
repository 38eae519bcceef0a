"""What a table is whose columns show nothing, as no row has two cells: its headings alone tell."""

from collections.abc import Mapping

from auditor.intake.roles.kinds import REQUIRED, ColumnUse, Understood
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD, candidates
from auditor.job.model import TableKind

_KINDS = (
    TableKind.PULLS,
    TableKind.COMBINED,
    TableKind.DEVICES,
    TableKind.CABLES,
    TableKind.CONTROLLERS,
)
LEAST_KNOWN = 2 / 3  # share of the headings that the kind must know


def kind_of_headings(columns: Mapping[int, ColumnProfile]) -> Understood | None:
    """The kind that the headings name; None: there are values to tell it by, or no kind fits."""
    headed = [profile for profile in columns.values() if profile.header]
    if not headed or any(profile.filled for profile in columns.values()):
        return None
    found = [understood for kind in _KINDS if (understood := _as_kind(kind, headed)) is not None]
    return max(found, key=lambda one: one.score, default=None)


def _as_kind(kind: TableKind, headed: list[ColumnProfile]) -> Understood | None:
    uses: dict[str, ColumnUse] = {}
    languages: list[str] = []
    for profile in headed:
        for name, language in candidates(kind, profile.header):
            if name not in uses:
                unit = profile.heading_unit
                uses[name] = ColumnUse(
                    name,
                    profile.column,
                    profile.header,
                    unit if unit in UNITS_OF_FIELD.get(name, ()) else None,
                    reason=f"heading {profile.header!r}",
                )
                languages.append(language)
                break
    if len(uses) < LEAST_KNOWN * len(headed) or not any(needed <= uses.keys() for needed in REQUIRED[kind]):
        return None
    return Understood(kind, uses, tuple(languages), score=float(len(uses)))
