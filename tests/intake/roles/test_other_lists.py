"""A list that only looks like a device list is left out, and that is said."""

import io

import xlsxwriter

from auditor.intake import explain, read_job


def workbook(*, labels: list[str]) -> bytes:
    held = io.BytesIO()
    book = xlsxwriter.Workbook(held)
    devices, pulls, other = (book.add_worksheet(name) for name in ("Devices", "Pulls", "Labels"))
    devices.write_row(0, 0, ["Tag", "Power (W)"])
    devices.write_row(1, 0, ["K1", 0.5])
    pulls.write_row(0, 0, ["Pull", "From", "To", "Length (ft)"])
    pulls.write_row(1, 0, ["P1", "C1.1", "K1", 40])
    other.write_row(0, 0, ["Label", "Count", "Remarks"])
    for row, label in enumerate(labels, 1):
        other.write_row(row, 0, [label, 1, "white"])
    book.close()
    return held.getvalue()


def test_a_label_list_is_no_device_list() -> None:
    job = read_job(workbook(labels=["L1", "L2"]), "job.xlsx")

    assert [device.tag for device in job.devices] == ["K1"]
    assert [remark.message for remark in job.remarks if "Labels" in remark.message] == [
        "no table is read on 'Labels'",
    ]
    assert explain(workbook(labels=["L1", "L2"]), "job.xlsx").sheets_without_table == ("Labels",)


def test_a_second_device_list_without_power_is_read_when_a_pull_ends_at_it() -> None:
    job = read_job(workbook(labels=["K1", "K2"]), "job.xlsx")

    assert [device.tag for device in job.devices] == ["K1", "K1", "K2"]


def test_a_number_past_an_empty_cell_in_the_heading_row_does_not_hide_the_table() -> None:
    held = io.BytesIO()
    book = xlsxwriter.Workbook(held)
    pulls = book.add_worksheet("Pulls")
    pulls.write_row(0, 0, ["Pull", "From", "To", "Length (ft)", "Cable", "", 120])
    pulls.write_row(1, 0, ["P1", "C1.1", "K1", 40, "TP16"])
    book.close()

    assert [pull.id for pull in read_job(held.getvalue(), "job.xlsx").pulls] == ["P1"]
