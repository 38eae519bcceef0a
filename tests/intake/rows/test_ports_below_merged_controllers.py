"""A controller merged over its rows and its port written once: the blanks below the port are that port."""

import io

import xlsxwriter

from auditor.intake import read_job

ROWS: list[list[object]] = [
    ["Processor", "Link", "Device ID", "Power (W)", "Comes from", "Length (m)"],
    ["BC-1", "A", "KP-01", 0.5, "BC-1", 9],
    ["", "", "KP-02", 0.5, "BC-1", 8],
    ["", "", "KP-03", 0.5, "KP-02", 7],
    ["", "B", "KP-04", 0.5, "BC-1", 6],
    ["BC-2", "A", "KP-05", 0.5, "BC-2", 5],
    ["", "", "KP-06", 0.5, "BC-2", 4],
]


def test_a_port_holds_down_to_the_next_one() -> None:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Bus")
        for row, cells in enumerate(ROWS):
            for column, value in enumerate(cells):
                if value != "":
                    sheet.write(row, column, value)
        sheet.merge_range(1, 0, 4, 0, "BC-1")
        sheet.merge_range(5, 0, 6, 0, "BC-2")
    job = read_job(buffer.getvalue(), "a.xlsx")
    assert [(pull.near, pull.far) for pull in job.pulls] == [
        ("BC-1.A", "KP-01"),
        ("BC-1.A", "KP-02"),
        ("KP-02", "KP-03"),
        ("BC-1.B", "KP-04"),
        ("BC-2.A", "KP-05"),
        ("BC-2.A", "KP-06"),
    ]
