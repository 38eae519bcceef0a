from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Device, Job, Pull, Table, TableKind, Unread
from auditor.results.findings import Finding, Level
from tests.builders import device, found, job, profile, pull


def about(subject: str, sheet: str, row: int, what: str, column: int = 1) -> Finding:
    return Finding(
        rule="missing-value",
        level=Level.REVIEW,
        subject=subject,
        message=f"{what}, so it cannot be judged in full; fill it in",
        where=CellRef(sheet, row, column),
    )


def unread(row: Device | Pull, field: str) -> Device | Pull:
    cell = Unread(field=field, text="TBD", reason="no number", where=row.where)
    return replace(row, unread=(cell,))


def zero(subject: str, names: str) -> Finding:
    return Finding(
        rule="missing-value",
        level=Level.REVIEW,
        subject=subject,
        message=f"{names} listed with 0 W; write what the device draws, or accept this where it draws nothing from the bus",
        where=CellRef("Devices", 2, 1),
    )


CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "review: a blank under the watts",
        job([pull("C1.1", "K1")], [device("K1", None)]),
        [about("K1", "Devices", 2, "No power is given for K1")],
    ),
    (
        "review: 0 W",
        job([pull("C1.1", "K1"), pull("K1", "K2")], [device("K1", 0.0), device("K2", 0.0)]),
        [zero("K1", "K1, K2 are")],
    ),
    ("passes: 0 W in use, and more at the start", job([pull("C1.1", "K1")], [device("K1", 0.0, start_w=1.0)]), []),
    (
        "a length",
        job([pull("C1.1", "K1", None)]),
        [about("C1.1-K1", "Pulls", 2, "No length is given for pull C1.1-K1")],
    ),
    ("a length of 0", job([pull("C1.1", "K1", 0.0)]), []),
    (
        "both ends",
        job([pull("C1.1", "K1"), pull("", "", id="P2")], [device("K1")]),
        [
            about("P2", "Pulls", 3, "Pull P2 does not say where it comes from"),
            about("P2", "Pulls", 3, "Pull P2 does not say where it goes to"),
        ],
    ),
    (
        "a cable type, where others have one",
        job([pull("C1.1", "K1"), pull("K1", "K2", cable=None)]),
        [about("K1-K2", "Pulls", 3, "No cable type is given for pull K1-K2")],
    ),
    ("no cable type anywhere is told once by cable-spec", job([pull("C1.1", "K1", cable=None)]), []),
    (
        "a device that no pull reaches is asked for its power too",
        job([], [device("K1", None)]),
        [about("K1", "Devices", 2, "No power is given for K1")],
    ),
    ("empty job", job([]), []),
]  # fmt: skip


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_missing_value(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("missing-value", a_job) == findings


def test_a_cell_that_holds_something_unreadable_is_not_told_as_missing() -> None:
    rows, devices = [unread(pull("C1.1", "K1", None), "length_m")], [unread(device("K1", None), "power_w")]
    assert found("missing-value", job(rows, devices)) == []  # type: ignore[arg-type]


def test_devices_that_the_bus_does_not_power_need_no_watts() -> None:
    a_job = job([pull("C1.1", "K1")], [device("K1", None)])
    assert found("missing-value", a_job, profile(device__powered_by_bus=False)) == []


def test_the_finding_speaks_of_the_blank_cell_itself() -> None:
    """A blank cell has no reference of its own: its column is the table's."""
    table = Table(
        kind=TableKind.DEVICES,
        sheet="Devices",
        header_row=1,
        first_row=2,
        last_row=2,
        first_column=1,
        last_column=6,
        columns={"tag": 1, "power_w": 5},
        rows=(2,),
    )
    below = replace(table, header_row=9, first_row=10, last_row=12, columns={"tag": 1, "power_w": 7})
    elsewhere = replace(table, sheet="Upstairs", columns={"tag": 1, "power_w": 8})
    pulls = replace(table, kind=TableKind.PULLS, columns={"near": 1})
    tables = (below, elsewhere, pulls, table)
    a_job = replace(job([pull("C1.1", "K1")], [device("K1", None)]), tables=tables)
    assert found("missing-value", a_job) == [
        about("K1", "Devices", 2, "No power is given for K1", column=5)
    ]  # fmt: skip
