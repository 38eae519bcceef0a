"""Roles that no record uses: their columns are not read, so that they are asked about."""

from dataclasses import replace

from auditor.intake.roles.kinds import Understood
from auditor.job.model import TableKind


def without_unused(understood: Understood) -> Understood:
    """The understanding without a part of a length, a count of pulls and a chain beside its ends."""
    columns = understood.columns
    if understood.kind not in (TableKind.PULLS, TableKind.COMBINED) or understood.shape != "rows":
        return understood
    unused = {"part_length_m"}
    if "near" in columns:
        unused.add("chain")
    if understood.kind is TableKind.PULLS:
        unused.add("quantity")
    return replace(understood, columns={name: use for name, use in columns.items() if name not in unused})
