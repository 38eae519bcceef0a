"""What a drawing of pulls is, as columns and roles: near end, far end and length of each of its pulls."""

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Value
from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.kinds import DRAWN, ColumnUse, Understood
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import heading
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

_FIELDS = ("near", "far", "length_m")


def columns_of_drawing(table: TableBlock) -> dict[int, ColumnProfile]:
    """The profiles of the ends and lengths of a drawing's pulls, under its first three columns."""
    assert table.drawing is not None
    values: tuple[list[Value], ...] = (
        [hop.near for hop in table.drawing.hops],
        [hop.far for hop in table.drawing.hops],
        [hop.length for hop in table.drawing.hops],
    )
    headings = ("", "", table.drawing.heading)
    return {
        column: ColumnProfile(column=column, header=text, group="", values=own, by_table=[own])
        for column, (text, own) in enumerate(zip(headings, values, strict=True), table.first_column)
    }


def pair_of_drawing(table: TableBlock) -> EndsPair:
    return EndsPair(near=table.first_column, far=table.first_column + 1, words=1.0, tie=1.0)


def understood_drawing(table: TableBlock) -> Understood:
    """A drawing as a table of pulls."""
    assert table.drawing is not None
    text = table.drawing.heading
    unit = heading(text).unit
    reason = "names and lengths stand in the order of the cable, or where they cross"
    uses = {
        name: ColumnUse(
            name,
            column,
            text if name == "length_m" else "",
            unit if name == "length_m" and unit in LENGTH_M else None,
            reason=reason,
        )
        for column, name in enumerate(_FIELDS, table.first_column)
    }
    return Understood(TableKind.PULLS, uses, (), shape=DRAWN, score=float(len(uses)))
