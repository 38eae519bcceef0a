"""Values of a field that a table's own column does not simply hold."""

from dataclasses import dataclass

from auditor.intake.formats.cells import Value


@dataclass(slots=True)
class Given:
    """The values of one field that are not simply what its column holds, one for each record."""

    values: list[Value]
    columns: list[int] | None = None  # where each value stands, if not in the field's own column
    units: list[str | None] | None = None  # of bare numbers, one for each record
    asked: bool = False  # blanks among them are left open by a question
