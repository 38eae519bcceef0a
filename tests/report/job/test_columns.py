"""The columns beside the tables hold what the audit says of each row."""

from dataclasses import replace

from auditor.annotate.columns import AddedColumns
from auditor.job.model import CellRef, TableKind
from auditor.report.job.columns import added_columns, port_offset
from auditor.results.findings import Verdict
from tests.report.audits import FT, audit, device, finding, full_audit, pull, run, table


def by_header(added: AddedColumns) -> dict[str, dict[int, object]]:
    return {column.header: dict(column.values) for column in added.columns}


def test_device_and_pull_tables_get_their_figures_in_the_schedules_unit():
    devices, pulls = added_columns(audit())
    assert by_header(devices) == {
        "Audit verdict": {5: "pass", 6: "pass"},
        "Port": {5: "C1.1", 6: "C1.1"},
        "Distance (ft)": {5: 100.0, 6: 250.0},
        "Volts at device (30 °C, constant power)": {5: 23.5, 6: 23.1},
    }
    assert by_header(pulls) == {
        "Audit verdict": {4: "pass", 5: "pass"},
        "Run": {4: "C1.1", 5: "C1.1"},
        "Run total (ft)": {4: 400.0, 5: 400.0},
    }
    assert [devices.table.sheet, pulls.table.sheet] == ["Devices", "Pulls"]


def test_metres_stay_metres_with_one_decimal():
    jobs = audit(length_unit="m", devices=(device("A", 5, distance_m=30.44), device("B", 6, distance_m=31.0)))
    column = next(each for each in added_columns(jobs)[0].columns if each.header.startswith("Distance"))
    assert (column.header, dict(column.values), column.number_format) == (
        "Distance (m)",
        {5: 30.4, 6: 31.0},
        "#,##0.0",
    )


def test_whole_lengths_show_no_decimal_and_volts_always_two():
    formats = {
        column.header: column.number_format for column in added_columns(audit(voltage_basis=""))[0].columns
    }
    assert formats == {
        "Audit verdict": None,
        "Port": None,
        "Distance (ft)": "#,##0",
        "Volts at device": "#,##0.00",
    }


def test_a_combined_row_takes_the_worse_verdict_and_both_reasons():
    one = device("A", 5, verdict=Verdict.REVIEW, why="No watts.", where=CellRef("Bus", 5, 1))
    other = pull("P", 5, verdict=Verdict.FAIL, why="Too long.", reel="R2", where=CellRef("Bus", 5, 4))
    (added,) = added_columns(
        audit(devices=(one,), pulls=(other,), tables=(table(TableKind.COMBINED, "Bus", range(5, 6), tag=1),))
    )
    assert by_header(added) == {
        "Audit verdict": {5: "fail"},
        "Why": {5: "Too long. No watts."},
        "Port": {5: "C1.1"},
        "Distance (ft)": {5: 100.0},
        "Volts at device (30 °C, constant power)": {5: 23.5},
        "Run total (ft)": {5: 400.0},
        "Reel": {5: "R2"},
    }


def test_only_devices_that_move_have_a_suggested_port():
    moved = device("A", 5, suggested_controller="C2", suggested_port="1")
    stays = device("B", 6, suggested_controller="C1", suggested_port="1")
    columns = by_header(added_columns(audit(devices=(moved, stays)))[0])
    assert columns["Suggested port"] == {5: "C2.1", 6: ""}


def test_a_branch_without_a_port_has_no_port_and_no_run_total():
    job = audit(
        runs=(run(None, controller=None, branch="P1"),),
        devices=(device("A", 5, controller=None, port=None, suggested_controller="C1", suggested_port="1"),),
        pulls=(pull("P1", 4, controller=None, port=None),),
    )
    devices, pulls = added_columns(job)
    assert set(by_header(devices)) == {
        "Audit verdict",
        "Distance (ft)",
        "Volts at device (30 °C, constant power)",
        "Suggested port",
    }
    assert set(by_header(pulls)) == {"Audit verdict"}


def test_rows_that_are_no_device_and_other_tables_get_nothing():
    cables = table(TableKind.CABLES, "Cables", range(2, 4), name=1)
    wide = table(TableKind.DEVICES, "Devices", range(5, 9), tag=1)  # rows 7 and 8 hold no device
    (added,) = added_columns(audit(tables=(cables, wide), pulls=()))
    assert set(by_header(added)["Audit verdict"]) == {5, 6}


def test_every_pull_of_a_branch_without_a_port_names_its_run_and_a_spare_return_says_so():
    no_port = {"controller": None, "port": None}
    job = audit(
        tables=(table(TableKind.PULLS, "Pulls", range(4, 8), id=1),),
        devices=(),
        pulls=(
            pull("1", 4, **no_port, branch="1"),
            pull("2", 5, **no_port, branch="1"),
            pull("3", 6, **no_port, landed=False),
            pull("4", 7),
        ),
        findings=tuple(finding(where=CellRef("Pulls", row, 1)) for row in (4, 6)),
    )
    (added,) = added_columns(job)
    assert by_header(added)["Run"] == {4: "branch 1", 5: "branch 1", 6: "spare", 7: "C1.1"}


def test_the_port_of_a_row_leads_to_its_finding_and_neither_the_verdict_nor_the_reason_is_a_link():
    job = audit(
        tables=(table(TableKind.DEVICES, "Devices", range(5, 8), tag=1),),
        devices=(
            device("A", 5, verdict=Verdict.REVIEW, why="No watts."),
            device("B", 6),
            device("C", 7, controller=None, port=None),
        ),
        findings=tuple(finding(where=CellRef("Devices", row, 1)) for row in (5, 7)),
    )
    columns = added_columns(job, {"Audit": "Bob's audit"})[0].columns
    links = {column.header: dict(column.links) for column in columns if column.links}
    assert {header: list(rows) for header, rows in links.items()} == {"Port": [5, 7]}
    assert by_header(added_columns(job)[0])["Port"][7] == "none"
    assert links["Port"][5].startswith("'Bob''s audit'!A")


def test_the_port_columns_place_is_known():
    devices, pulls = added_columns(full_audit())
    assert port_offset(devices) == 2
    assert port_offset(pulls) is None
    told_apart = [replace(each, header=f"{each.header} (audit)") for each in devices.columns]
    assert port_offset(replace(devices, columns=tuple(told_apart))) == 2


def test_an_audit_without_tables_or_rows_gives_no_columns():
    assert added_columns(audit(tables=())) == []
    assert added_columns(audit(devices=(), pulls=())) == []


def test_a_distance_that_is_not_a_number_is_left_empty():
    job = audit(devices=(device("A", 5, distance_m=float("nan")), device("B", 6, distance_m=10 * FT)))
    assert by_header(added_columns(job)[0])["Distance (ft)"] == {5: None, 6: 10.0}
