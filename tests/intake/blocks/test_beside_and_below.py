"""Tables beside and below one another on one sheet: no row vanishes, none is read as another table's."""

import pytest

from auditor.intake import explain, read_job
from auditor.job.model import CellRef, Job
from tests.intake.workbooks import DEVICES, PULLS, workbook

CABLES = [["Cable", "Gauge", "Conductors", "Capacitance (pF/ft)"], ["16/2", "16 AWG", 2, 30]]


def beside(text_only: bool) -> bytes:
    """Devices in A6:C11, controllers whose heading stands at I11, in the last device's row."""
    rows: list[list[object]] = [[] for _ in range(5)]
    rows.append(["Tag", "Room", "Power"])
    for number in range(1, 6):
        rows.append([f"K{number}", "Hall", "1 W" if text_only else 1])
    if not text_only:
        rows[5][2] = "Power (W)"
    rows[10] += ["", "", "", "", "", "Controller", "Ports"]
    rows.append(["", "", "", "", "", "", "", "", "C1", 4])
    return workbook({"Sheet": rows, "Pulls": PULLS})


def read_tables(job: Job, sheet: str) -> list[tuple[str, tuple[int, ...]]]:
    return [(table.kind.value, table.rows) for table in job.tables if table.sheet == sheet]


@pytest.mark.parametrize("text_only", [True, False])
def test_a_table_beside_takes_no_row_away(text_only: bool) -> None:
    data = beside(text_only)
    as_found = read_job(data, "a.xlsx")
    assert read_tables(as_found, "Sheet") == [("devices", (7, 8, 9, 10, 11)), ("controllers", (12,))]
    with_layout = read_job(data, "a.xlsx", explain(data, "a.xlsx"))
    assert (with_layout.tables, with_layout.devices) == (as_found.tables, as_found.devices)


def test_a_layout_still_ends_a_table_at_the_next_below_it() -> None:
    data = workbook(
        {"Devices": DEVICES, "Pulls": PULLS, "Parts": [*CABLES, ["Controller", "Ports"], ["C1", 4]]}
    )
    job = read_job(data, "a.xlsx", explain(data, "a.xlsx"))
    assert read_tables(job, "Parts") == [("cables", (2,)), ("controllers", (4,))]


@pytest.mark.parametrize(
    "heading",
    [
        ["Controller", "Ports", "Supply V"],
        ["Controller", "PSU V", "PSU W"],
        ["Controller", "Supply V", "Supply W"],
        ["Panel", "No. of ports", "Output V"],
    ],
)
@pytest.mark.parametrize("gap", [0, 1])
def test_controllers_right_below_the_cables(heading: list[str], gap: int) -> None:
    rows = [*CABLES, *([[]] * gap), heading, ["C1", 4, 24], ["C2", 4, 24]]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Parts": rows}), "a.xlsx")
    assert read_tables(job, "Parts") == [("cables", (2,)), ("controllers", (4 + gap, 5 + gap))]
    assert list(job.cables) == ["16/2"]


def test_a_heading_that_makes_no_table_is_said_beside_one_that_is_read() -> None:
    rows = [*CABLES, ["Controller", "Type"], ["C1", "four port"]]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Parts": rows}), "a.xlsx")
    assert [(r.rule, r.level, r.message) for r in job.remarks if r.where == CellRef("Parts", 3, 1)] == [
        (
            "reading",
            "note",
            "the table headed 'Controller', 'Type' is not read; if it belongs to this job, say in a layout what it is",
        )
    ]
    assert read_tables(job, "Parts") == [("cables", (2,))]


def test_a_list_of_revisions_beside_a_table_gets_no_note() -> None:
    rows = [*DEVICES, [], ["Revision", "Date", "By"], ["A", "2024-01-02", "JK"]]
    job = read_job(workbook({"Devices": rows, "Pulls": PULLS}), "a.xlsx")
    assert [device.tag for device in job.devices] == ["K1", "K2", "T3"]
    assert job.remarks == ()


GROUPED = [
    ["DEVICE", "", "", "LOAD", "", "BUS"],
    ["Tag", "Description", "Level", "Qty", "Watts each", "Controller", "Port"],
    ["K1", "keypad", "L1", 1, 0.5, "C1", 1],
]


def test_a_heading_above_a_fuller_one_is_no_table_of_its_own() -> None:
    """Also where such a pair stands below another table's rows."""
    second = [["K9", "keypad", "L2", 1, 0.5, "C1", 2]]
    rows = [["Mill"], [], *GROUPED, *GROUPED[:2], *second]
    job = read_job(workbook({"Equip": rows, "Pulls": PULLS}), "a.xlsx")
    assert read_tables(job, "Equip") == [("devices", (5,)), ("devices", (8,))]
    assert not [remark for remark in job.remarks if remark.rule == "missing-value"]


def test_an_empty_table_above_another_is_asked_about() -> None:
    rows = [["Tag", "Qty", "Power (W)"], [], *PULLS]
    job = read_job(workbook({"Sheet": rows, "Devices": DEVICES}), "a.xlsx")
    assert read_tables(job, "Sheet") == [("devices", ()), ("pulls", (4, 5, 6))]
    assert [r.where for r in job.remarks if r.rule == "missing-value"] == [CellRef("Sheet", 1, 1)]
