"""The columns of the summary's sheets."""

from dataclasses import dataclass

from auditor.report.page.look import Kind

_Columns = tuple[tuple[str, float, Kind], ...]  # heading, width, kind
CABLE_IS = "Cable is"  # "at least" so much where pulls have no length, else nothing


@dataclass(frozen=True, slots=True)
class SummaryTable:
    """A sheet that is one table with totals above."""

    name: str
    columns: _Columns
    summed: frozenset[str]
    summed_label: int  # the column that says what the totals are

    @property
    def widths(self) -> tuple[float, ...]:
        return tuple(width for _, width, _ in self.columns)

    def offset(self, header: str) -> int:
        return [each for each, _, _ in self.columns].index(header)

    def letter(self, header: str) -> str:
        return chr(65 + self.offset(header))


JOBS = SummaryTable(
    "Jobs",
    (
        ("Verdict", 13, "job"),
        ("Job", 22, "wrap"),
        ("File", 36, "wrap"),
        ("Worst finding", 42, "wrap"),
        ("Profile", 15, "wrap"),
        ("Profile chosen because", 20, "wrap"),
        ("Runs", 7, "count"),
        ("Devices", 9, "count"),
        ("Cable ({unit})", 10, "length"),
        (CABLE_IS, 18, "wrap"),
        ("Controllers scheduled", 11, "count"),
        ("Controllers needed", 11, "count"),
        ("Rows read", 8, "count"),
        ("Rows left out", 10, "count"),
    ),
    frozenset(
        (
            "Runs",
            "Devices",
            "Cable ({unit})",
            "Controllers scheduled",
            "Controllers needed",
            "Rows read",
            "Rows left out",
        )
    ),
    5,
)

FINDINGS = SummaryTable(
    "Findings",
    (
        ("Level", 11, "level"),
        ("Job", 20, "wrap"),
        ("Rule", 17, "text"),
        ("Subject", 16, "wrap"),
        ("Sheet", 16, "wrap"),
        ("Cell", 7, "text"),
        ("Measured", 10, "figure"),
        ("Limit", 10, "figure"),
        ("Unit", 12, "text"),
        ("What was found, and what to do", 60, "wrap"),
        ("Accepted", 24, "wrap"),
        ("File", 30, "wrap"),
    ),
    frozenset(),
    1,
)

QUESTIONS = SummaryTable(
    "Questions",
    (
        ("Jobs that ask", 8, "count"),
        ("Folder", 22, "wrap"),
        ("What is unclear", 46, "wrap"),
        ("Answers", 44, "wrap"),
        ("Where to answer", 30, "wrap"),
        ("What to do", 48, "wrap"),
    ),
    frozenset(),
    1,
)

BUDGETS = SummaryTable(
    "Power budgets",
    (
        ("Verdict", 13, "verdict"),
        ("Job", 26, "wrap"),
        ("Run", 18, "text"),
        ("Devices", 9, "count"),
        ("Watts", 10, "one"),
        ("Port may draw (W)", 10, "one"),
        ("Lost in cable (W)", 10, "two"),
        ("Lowest volts", 9, "two"),
        ("At device", 18, "text"),
        ("Controller draws (W)", 11, "one"),
        ("Controller may draw (W)", 11, "one"),
        ("Used of the supply", 12, "share"),
        ("Margin for longer cable", 34, "wrap"),
    ),
    frozenset(("Devices", "Watts", "Lost in cable (W)")),
    1,
)
