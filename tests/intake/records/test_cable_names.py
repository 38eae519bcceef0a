"""One name for a cable type, however the pulls spell it; a hint where a name may be a slip."""

from auditor.intake import read_job
from tests.builders import found
from tests.intake.workbooks import workbook

DEVICES = [["Tag", "Power (W)", "Lowest volts (V)"], *([f"K{number}", 0.5, 18] for number in (1, 2, 3))]
CABLES = [
    ["Cable type", "Conductors", "AWG", "Stranded", "Shielded", "Capacitance (pF/ft)", "Voltage rating (V)"],
    ["TP-16", 2, 16, "yes", "no", 28, 600],
]


def _book(*names: str, listed: bool = True) -> bytes:
    ends = [("C1.1", "K1"), ("K1", "K2"), ("K2", "K3")]
    pulls = [[f"P{at}", *pair, name, 50] for at, (pair, name) in enumerate(zip(ends, names, strict=True), 1)]
    sheets: dict[str, list[list[object]]] = {
        "Devices": DEVICES,
        "Pulls": [["Pull", "From", "To", "Cable", "Length (ft)"], *pulls],
    }
    return workbook(sheets | ({"Cables": CABLES} if listed else {}))


def _said(*names: str, listed: bool = True) -> tuple[list[str | None], list[str], list[str]]:
    """The cables of the pulls, the types, and what is said of their names."""
    job = read_job(_book(*names, listed=listed), "a.xlsx")
    said = [remark.message for remark in job.remarks if "spelt alike" in remark.message]
    return [pull.cable for pull in job.pulls], sorted(job.cables), said


def test_other_spellings_of_a_listed_type_are_that_type() -> None:
    assert _said("TP-16", "TP16", "tp 16") == (
        ["TP-16"] * 3,
        ["TP-16"],
        [
            "cable TP16 is read as TP-16, which is spelt alike",
            "cable tp 16 is read as TP-16, which is spelt alike",
        ],
    )


def test_without_a_list_the_spelling_that_most_pulls_have_counts() -> None:
    assert _said("TP16", "TP-16", "TP-16", listed=False) == (
        ["TP-16"] * 3,
        ["TP-16"],
        ["cable TP16 is read as TP-16, which is spelt alike"],
    )


def test_another_number_is_another_type() -> None:
    assert _said("TP-16", "TP-61", "TP-1-6") == (
        ["TP-16", "TP-61", "TP-1-6"],
        ["TP-1-6", "TP-16", "TP-61"],
        [],
    )


def test_a_type_without_a_row_is_told_the_one_it_may_be_a_slip_of() -> None:
    hints = [
        finding.message.rpartition(". ")[2]
        for finding in found("voltage", read_job(_book("TP-16", "TP-61", "LAN"), "a.xlsx"))
    ]
    assert hints == [
        "State it in the cable sheet",
        "State it in the cable sheet, or write TP-16 if that is meant",
    ]
