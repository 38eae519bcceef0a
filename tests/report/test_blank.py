"""The starter workbook, filled in as a newcomer would, audits without any mapping."""

import io

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from auditor.audit import audit
from auditor.intake import read_job
from auditor.profile.load import load_profile
from auditor.report.blank import HEADER_ROW, write_blank
from auditor.results.audit_result import Audit
from auditor.results.findings import Verdict
from tests.annotate.repair import faults

FEET = {
    "Devices": [
        {"Tag": "KP-1", "Room": "Hall", "Qty": 1, "Watts each (W)": 0.6, "Min voltage (V)": 18},
        {"Tag": "TH-1", "Room": "Hall", "Watts each (W)": 0.8},
    ],
    "Pulls": [
        {
            "Pull": "P-1",
            "From": "C1.1",
            "To": "KP-1",
            "Length (ft)": 100,
            "Cable type": "B16",
            "Status": "landed",
        },
        {"Pull": "P-2", "From": "KP-1", "To": "Splice S1", "Length (ft)": 50, "Cable type": "B16"},
        {"Pull": "P-3", "From": "Splice S1", "To": "TH-1", "Length (ft)": 20, "Cable type": "B16"},
        {
            "Pull": "P-4",
            "From": "TH-1",
            "To": "C1.1",
            "Length (ft)": 170,
            "Cable type": "B16",
            "Status": "spare return",
        },
    ],
    "Cable types": [
        {
            "Cable type": "B16",
            "Conductor size (AWG)": 16,
            "Conductors": 2,
            "Stranding": "stranded",
            "Shield": "unshielded",
            "Capacitance (pF/ft)": 27,
            "Insulation (V)": 600,
        }
    ],
    "Controllers": [
        {
            "Controller": "C1",
            "Head end": "Cupboard",
            "Supply voltage (V)": 24,
            "Supply power (W)": 35,
            "Ports": 2,
        }
    ],
}
METRES_PER_FOOT = 0.3048  # NIST SP 811, appendix B
IN_METRES = {
    "Length (ft)": "Length (m)",
    "Conductor size (AWG)": "Conductor size (mm²)",
    "Capacitance (pF/ft)": "Capacitance (pF/m)",
}
METRIC_VALUE = {
    "Length (ft)": lambda feet: feet * METRES_PER_FOOT,
    "Conductor size (AWG)": lambda _: 1.5,
    "Capacitance (pF/ft)": lambda per_foot: per_foot / METRES_PER_FOOT,
}
FULL_ROW = {
    "Distance to parallel mains (in)": 12,
    "Crossing angle (deg)": 90,
    "Alongside loudspeaker cable": "no",
}


def fill(sheet: Worksheet, rows: list[dict[str, object]]) -> None:
    header = HEADER_ROW + 1
    columns = {cell.value: cell.column for cell in sheet[header]}
    for offset, row in enumerate(rows, start=1):
        for title, value in row.items():
            sheet.cell(header + offset, columns[title], value)


def audited(
    filled: dict[str, list[dict[str, object]]], unit: str = "ft", profile: str | None = None
) -> Audit:
    workbook = openpyxl.load_workbook(io.BytesIO(write_blank(unit)))
    for name, rows in filled.items():
        fill(workbook[name], rows)
    if profile:
        cover = workbook.worksheets[0]
        label = next(cell for row in cover.iter_rows() for cell in row if cell.value == "Bus profile")
        cover.cell(label.row, label.column + 1, profile)
    held = io.BytesIO()
    workbook.save(held)
    job = read_job(held.getvalue(), "filled.xlsx")
    return audit(job, load_profile(job.profile_name or "two-wire-35w"))


def metric(filled: dict[str, list[dict[str, object]]]) -> dict[str, list[dict[str, object]]]:
    def change(row: dict[str, object]) -> dict[str, object]:
        return {
            IN_METRES.get(title, title): METRIC_VALUE[title](value) if title in METRIC_VALUE else value
            for title, value in row.items()
        }

    return {name: [change(row) for row in rows] for name, rows in filled.items()}


def test_filled_in_feet_it_passes_with_every_value_read() -> None:
    result = audited(FEET)
    assert result.verdict is Verdict.PASS, result.findings
    (run,) = (run for run in result.runs if run.devices)
    assert run.name == "C1.1"
    assert run.power_w == pytest.approx(1.4)
    assert run.cable_m == pytest.approx(170 * METRES_PER_FOOT)
    assert run.reach_m == pytest.approx(170 * METRES_PER_FOOT)
    assert run.derated is False
    assert [pull.id for pull in result.pulls if not pull.landed] == ["P-4"]


def test_feet_and_metres_give_the_same_run() -> None:
    feet, metres = audited(FEET), audited(metric(FEET), unit="m")
    assert metres.verdict is feet.verdict
    assert metres.length_unit == "m"
    assert [run.cable_m for run in metres.runs] == pytest.approx([run.cable_m for run in feet.runs])
    assert [run.capacitance_nf for run in metres.runs] == pytest.approx(
        [run.capacitance_nf for run in feet.runs]
    )


@pytest.mark.parametrize(
    ("title", "value"),
    [
        ("Distance to parallel mains (in)", 4),
        ("Crossing angle (deg)", 45),
        ("Alongside loudspeaker cable", "yes"),
    ],
)
def test_the_separation_columns_are_understood(title: str, value: object) -> None:
    kept = FEET | {"Pulls": [row | FULL_ROW for row in FEET["Pulls"]]}
    assert audited(kept).verdict is Verdict.PASS
    broken = FEET | {"Pulls": [row | FULL_ROW | {title: value} for row in FEET["Pulls"]]}
    assert {finding.rule for finding in audited(broken).findings if finding.level == "fail"} == {"separation"}


def test_the_profile_cell_is_understood() -> None:
    assert audited(FEET, profile="two-wire-120w").profile == "two-wire-120w"


@pytest.mark.parametrize("unit", ["ft", "m"])
def test_lists_help_frozen_heading_and_print_set_up_are_there(unit: str) -> None:
    workbook = openpyxl.load_workbook(io.BytesIO(write_blank(unit)))
    pulls = workbook["Pulls"]
    lists = {
        rule.promptTitle: rule.formula1
        for rule in pulls.data_validations.dataValidation
        if rule.type == "list"
    }
    assert lists["Status"] == '"landed,spare return"'
    assert lists["Alongside loudspeaker cable"] == '"yes,no"'
    assert lists["Cable type"].startswith("'Cable types'!$A$5:")
    for sheet in workbook.worksheets[1:]:
        assert sheet.freeze_panes == "B5"
        assert sheet.print_title_rows == "$4:$4"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.page_setup.fitToHeight == 0
        headings = [cell.value for cell in sheet[HEADER_ROW + 1]]
        assert len(sheet.data_validations.dataValidation) == len(headings)


def test_the_same_unit_gives_the_same_bytes() -> None:
    assert write_blank() == write_blank()


@pytest.mark.parametrize("unit", ["ft", "m"])
def test_no_program_offers_to_repair_it(unit):
    assert faults(write_blank(unit)) == []
