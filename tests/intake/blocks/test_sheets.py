"""Sheets as offices lay them out: where tables stand, what is left out and said.

The numbers are those of the list of bad inputs that the project keeps.
"""

import io
from collections.abc import Callable
from typing import Any

import pytest
import xlsxwriter

from auditor.errors import UnusableFileError
from auditor.intake import explain, read_job
from auditor.intake.formats.far_cells import far_notes
from auditor.job.model import CellRef, Job, Table, TableKind
from tests.intake.packages import changed, replaced
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, workbook

SHEET = "xl/worksheets/sheet2.xml"


def made(build: Callable[[Any, Any], None], rows: list[list[Any]] = PULLS) -> bytes:
    """The usual job with its pull sheet worked over by `build(book, sheet)`."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        for title, content in (("Devices", DEVICES), ("Pulls", rows)):
            sheet = book.add_worksheet(title)
            for r, row in enumerate(content):
                for c, value in enumerate(row):
                    if value not in (None, ""):
                        sheet.write(r, c, value)
        build(book, sheet)
    return held.getvalue()


def ids(job: Job) -> list[str]:
    return [pull.id for pull in job.pulls]


def pull_table(job: Job) -> Table:
    return next(table for table in job.tables if table.kind is TableKind.PULLS)


def said(job: Job) -> list[tuple[str, str]]:
    """(level, message) of what the reader says of its reading."""
    return [(remark.level, remark.message) for remark in job.remarks if remark.rule == "reading"]


def test_24_one_coloured_cell_in_the_last_column() -> None:
    job = read_job(
        made(lambda book, sheet: sheet.write_blank(0, 16383, None, book.add_format({"bg_color": "red"}))),
        "a.xlsx",
    )
    assert (ids(job), pull_table(job).last_column) == (["P1", "P2", "P3"], 5)


def test_25_a_value_in_the_last_cell_of_the_sheet() -> None:
    job = read_job(made(lambda book, sheet: sheet.write(1048575, 16383, "x")), "a.xlsx")
    assert (ids(job), pull_table(job).last_column, pull_table(job).last_row) == (["P1", "P2", "P3"], 5, 4)
    assert said(job) == [
        (
            "note",
            "XFD1048576 on 'Pulls' stands far away from all other cells; it is read, but look whether it belongs there",
        )
    ]


def test_25_several_cells_far_away_are_named_and_a_large_sheet_has_none() -> None:
    def stray(book: Any, sheet: Any) -> None:
        for cell in ("MHE1", "MHF2", "A1000001", "B1000001", "A1000002", "D1048576"):
            sheet.write(cell, "x")

    assert said(read_job(made(stray), "a.xlsx"))[:1] == [
        (
            "note",
            "MHE1, MHF2, A1000001, B1000001, A1000002 and 1 more on 'Pulls' stand far away from all other cells; look whether they belong there",
        )
    ]
    assert far_notes("Pulls", [["x"] * 12] * 1_000_000) == ()


def test_28_four_hundred_sheets() -> None:
    sheets = {
        "Devices": [["Tag", "Power (W)"], *([f"K{n}", 0.1] for n in range(400))],
        **{f"Floor {n}": [PULLS[0], [f"P{n}", "C1.1", f"K{n}", 10, "16/2"]] for n in range(400)},
    }
    job = read_job(workbook(sheets), "a.xlsx")
    assert ids(job) == [f"P{n}" for n in range(400)]


def test_31_a_table_at_the_last_columns() -> None:
    rows = [["" for _ in range(16379)] + row for row in PULLS]
    table = pull_table(read_job(job_workbook(pulls=rows), "a.xlsx"))
    assert (table.first_column, table.last_column) == (16380, 16384)


def test_32_notes_two_columns_right_of_the_table_are_no_part_of_it() -> None:
    rows = [PULLS[0], [*PULLS[1], "", "ask RM"], *PULLS[2:]]
    assert pull_table(read_job(job_workbook(pulls=rows), "a.xlsx")).last_column == 5


def test_a_column_of_data_without_a_heading_belongs_to_the_table() -> None:
    rows = [PULLS[0], *([*row, "seen"] for row in PULLS[1:])]
    assert pull_table(read_job(job_workbook(pulls=rows), "a.xlsx")).last_column == 6


def test_49_two_heading_rows_with_merged_cells() -> None:
    def build(book: Any, sheet: Any) -> None:
        bold = book.add_format({"bold": True})
        sheet.merge_range("A1:A2", "Pull", bold)
        sheet.merge_range("B1:C1", "Route", bold)
        sheet.merge_range("D1:E1", "Cable", bold)
        for column, text in enumerate(["From", "To", "Length (ft)", "Type"], 1):
            sheet.write_string(1, column, text)

    rows = [["", "", "", "", ""], ["", "", "", "", ""], *PULLS[1:]]
    job = read_job(made(build, rows), "a.xlsx")
    table = pull_table(job)
    assert table.columns == {"id": 1, "near": 2, "far": 3, "length_m": 4, "cable": 5}
    assert (table.header_row, table.first_row, ids(job)) == (2, 3, ["P1", "P2", "P3"])


def test_49_a_row_of_units_below_the_headings() -> None:
    rows = [["Pull", "From", "To", "Length", "Cable type"], ["", "", "", "(ft)", ""], *PULLS[1:]]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert [round(p.length_m or 0, 3) for p in job.pulls] == [36.576, 24.384, 13.868]


def test_50_headings_in_row_17_below_a_title_block() -> None:
    title = [
        ["Hill lodge"],
        ["Project", "Lodge extension"],
        [],
        ["Drawn by", "RM"],
        ["From the office of", "RM"],
    ]
    rows = title + [[] for _ in range(16 - len(title))] + PULLS
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert (pull_table(job).header_row, ids(job), job.name) == (17, ["P1", "P2", "P3"], "Lodge extension")


def test_51_two_tables_side_by_side_and_a_third_below() -> None:
    side = [[*d, "", *p] for d, p in zip(DEVICES, PULLS, strict=True)]
    rows = [*side, [], ["Controller", "Ports", "Supply (W)"], ["C1", 2, 35]]
    job = read_job(workbook({"All": rows}), "a.xlsx")
    assert [(t.kind, t.header_row, t.first_column, t.last_column, t.rows) for t in job.tables] == [
        (TableKind.DEVICES, 1, 1, 4, (2, 3, 4)),
        (TableKind.PULLS, 1, 6, 10, (2, 3, 4)),
        (TableKind.CONTROLLERS, 6, 1, 3, (7,)),
    ]
    assert job.controllers["C1"].supply_power_w == 35.0


def test_51_tables_that_start_in_different_rows() -> None:
    rows = [
        ["Tag", "Power (W)"],
        ["K1", 1],
        ["K2", 1, "", "From", "To", "Length (ft)"],
        ["T3", 1, "", "C1.1", "K1", 120],
    ]
    job = read_job(workbook({"All": rows}), "a.xlsx")
    assert [d.tag for d in job.devices] == ["K1", "K2", "T3"]
    assert [(p.near, p.far) for p in job.pulls] == [("C1.1", "K1")]


def test_51_tables_that_touch() -> None:
    rows = [[*d, *p] for d, p in zip(DEVICES, PULLS, strict=True)]
    job = read_job(workbook({"All": rows}), "a.xlsx")
    assert ([d.tag for d in job.devices], ids(job)) == (["K1", "K2", "T3"], ["P1", "P2", "P3"])


def test_52_headings_repeated_on_every_page() -> None:
    rows = [*PULLS[:2], PULLS[0], *PULLS[2:], PULLS[0]]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert ids(job) == ["P1", "P2", "P3"]
    assert said(job) == [("note", "rows 3, 6 left out: headings of sections or pages")]
    assert (job.rows_read, job.rows_left_out) == (8, 2)


def test_53_sections_totals_and_footnotes() -> None:
    rows = [
        PULLS[0],
        ["Ground floor"],
        PULLS[1],
        PULLS[2],
        ["", "", "Subtotal", 200],
        ["First floor"],
        PULLS[3],
        ["Total", "", "", 245.5],
        [],
        ["All lengths include 3 ft of slack at either end."],
    ]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert ids(job) == ["P1", "P2", "P3"]
    assert said(job) == [
        ("note", "rows 5, 8 left out: totals"),
        ("note", "rows 2, 6 left out: headings of sections or pages"),
        ("note", "row 10 left out: notes"),
        ("note", "the sheet's own total is 200 ft and agrees with the rows read"),
        ("note", "the sheet's own total is 245.5 ft and agrees with the rows read"),
    ]
    assert (job.rows_read, job.rows_left_out) == (11, 5)


def test_53_a_total_that_does_not_agree() -> None:
    job = read_job(job_workbook(pulls=[*PULLS, ["", "", "Total", 300]]), "a.xlsx")
    assert said(job)[1] == (
        "review",
        "the sheet's own total is 300 ft, the rows read add up to 245.5 ft; "
        "look for rows that are missing, hidden or counted twice",
    )


def test_53_a_total_of_powers() -> None:
    devices = [*DEVICES, ["Total", "", 4, 3.7]]
    assert said(read_job(job_workbook(devices), "a.xlsx"))[1] == (
        "note",
        "the sheet's own total is 3.7 W and agrees with the rows read",
    )


def test_54_hidden_and_struck_through_rows() -> None:
    def build(book: Any, sheet: Any) -> None:
        sheet.set_row(1, None, None, {"hidden": True})
        sheet.set_column(4, 4, None, None, {"hidden": True})
        struck = book.add_format({"font_strikeout": True})
        for column, value in enumerate(PULLS[2]):
            sheet.write(2, column, value, struck)

    job = read_job(made(build), "a.xlsx")
    assert ids(job) == ["P1", "P3"]
    assert said(job) == [
        ("note", "row 3 left out: struck through, so taken as deleted"),
        ("note", "row 2 hidden in the workbook; audited all the same"),
        ("note", "the column 'Cable type' is hidden; it is read all the same"),
    ]


def test_55_filters_panes_and_print_areas_change_nothing() -> None:
    def build(book: Any, sheet: Any) -> None:
        sheet.autofilter("A1:E4")
        sheet.filter_column("A", "x == P1")
        sheet.freeze_panes(1, 0)
        sheet.print_area("A1:E4")
        sheet.conditional_format(
            "D1:D4", {"type": "cell", "criteria": ">", "value": 100, "format": book.add_format()}
        )

    assert ids(read_job(made(build), "a.xlsx")) == ["P1", "P2", "P3"]


@pytest.mark.parametrize("state", [b"hidden", b"veryHidden"])
def test_56_device_list_on_a_hidden_sheet(state: bytes) -> None:
    edit = replaced(b'<sheet name="Devices"', b'<sheet name="Devices" state="' + state + b'"')
    job = read_job(changed(job_workbook(), {"xl/workbook.xml": edit}), "a.xlsx")
    assert [d.tag for d in job.devices] == ["K1", "K2", "T3"]
    assert said(job) == [("note", "the sheet is hidden; it is audited all the same")]


def test_58_sheet_names_with_quotes() -> None:
    name = 'Bob\'s "pulls" & <more>'
    job = read_job(workbook({"Devices": DEVICES, name: PULLS}), "a.xlsx")
    assert pull_table(job).sheet == name
    assert job.pulls[0].where == CellRef(name, 2, 1)


def test_60_a_list_object() -> None:
    columns = [{"header": text} for text in PULLS[0]]
    job = read_job(made(lambda book, sheet: sheet.add_table("A1:E4", {"columns": columns})), "a.xlsx")
    assert ids(job) == ["P1", "P2", "P3"]


def test_61_links_to_other_workbooks_are_not_followed() -> None:
    cell = b'<c r="D2"><f>[1]Other!A1</f><v>77</v></c>'
    data = changed(
        job_workbook(),
        {SHEET: replaced(b'<c r="D2"><v>120</v></c>', cell)},
        {"xl/externalLinks/externalLink1.xml": b"<externalLink/>"},
    )
    job = read_job(data, "a.xlsx")
    assert job.pulls[0].length_m == pytest.approx(77 * 0.3048)
    assert said(job) == [
        (
            "note",
            "the workbook links to other files or data; links are not followed, the values saved in it are used",
        )
    ]


def test_62_no_tables_at_all() -> None:
    with pytest.raises(UnusableFileError, match="the sheets hold no text"):
        read_job(workbook({"Sheet1": [[1, 2], [3, 4]]}), "a.xlsx")


def test_62_headings_that_are_nearly_known_are_said() -> None:
    rows = [["Form", "To", "Lenght (ft)"], ["C1.1", "K1", 120]]
    with pytest.raises(UnusableFileError, match=r"'Lenght \(ft\)' may be 'length'"):
        read_job(workbook({"Sheet1": rows}), "a.xlsx")


def test_63_headings_without_rows() -> None:
    job = read_job(job_workbook(DEVICES[:1], PULLS[:1]), "a.xlsx")
    assert [(r.rule, r.level, r.message) for r in job.remarks] == [
        ("missing-value", "review", "the table has a heading and no rows; fill it in or delete it")
    ] * 2
    assert pull_table(job).rows == ()


@pytest.mark.parametrize(
    "headings",
    [
        ["Kabelnr.", "Von", "Nach", "Länge [m]", "Kabeltyp"],
        ["KABEL-NR", "von", "nach", "Laenge in m", "Typ"],
        ["Repère", "Tenant", "Aboutissant", "Longueur (m)", "Type de câble"],
        ["Nº", "Desde", "Hasta", "Longitud (m)", "Tipo de cable"],
        ["Cable #", "FROM:", "TO:", "Len., m", "Wire type"],
        ["Cable", "From", "To", "Length\n(metres)", "Type"],
    ],
)
def test_64_headings_in_other_words_and_languages(headings: list[str]) -> None:
    job = read_job(job_workbook(pulls=[headings, *PULLS[1:]]), "a.xlsx")
    assert next((p.id, p.near, p.length_m, p.cable) for p in job.pulls) == ("P1", "C1.1", 120.0, "16/2")
    assert job.length_unit == "m"


def test_a_heading_that_is_nearly_known_counts_where_its_values_bear_it_out() -> None:
    data = job_workbook(pulls=[["Pull", "From", "To", "Lenght (ft)", "Cable type"], *PULLS[1:]])
    assert read_job(data, "a.xlsx").pulls == read_job(job_workbook(), "a.xlsx").pulls
    assert explain(data, "a.xlsx").tables[1].columns[3].reason == "heading 'Lenght (ft)'"


def test_one_sheet_a_controller_with_ports_by_number() -> None:
    rows = {
        "C1": [["Pull", "From", "To", "Length (ft)"], ["P1", "Port 1", "K1", 120], ["P2", 2, "T3", 45]],
        "C2": [["Pull", "From", "To", "Length (ft)"], ["P3", "Port 1", "K2", 80]],
    }
    job = read_job(workbook({"Devices": DEVICES, **rows}), "a.xlsx")
    assert [(p.near, p.far) for p in job.pulls] == [("C1.1", "K1"), ("C1.2", "T3"), ("C2.1", "K2")]


def test_columns_for_controller_and_port_in_the_pull_schedule() -> None:
    rows = [
        ["Pull", "Controller", "Port", "To", "Length (ft)"],
        ["P1", "C1", 2, "K1", 120],
        ["P2", "C1", "C1.1", "K2", 80],
    ]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert [(p.near, p.far) for p in job.pulls] == [("C1.2", "K1"), ("C1.1", "K2")]


def test_devices_carry_the_port_while_pulls_carry_tags_only() -> None:
    devices = [["Tag", "Controller", "Port", "Power (W)"], ["K1", "C1", 2, 1], ["K2", "C1", 2, 1]]
    pulls = [["Pull", "From", "To", "Length (ft)"], ["P1", "Panel 1", "K1", 120], ["P2", "K1", "K2", 80]]
    job = read_job(job_workbook(devices, pulls), "a.xlsx")
    assert [(p.near, p.far) for p in job.pulls] == [("C1.2", "K1"), ("K1", "K2")]
    assert (job.head_ends, list(job.ports)) == (frozenset(), ["C1.2"])
    assert said(job) == [("note", "P1 starts at C1.2, as the device list says of K1")]


@pytest.mark.parametrize(
    ("chain", "lengths", "unit"),
    [
        ("C1.1 > K1 (120 ft) > K2 (80 ft) > T3 (45.5 ft)", "", "Length"),
        ("C1.1 → K1 → K2 → T3", "120, 80, 45.5", "Lengths (ft)"),
        ("C1.1 -> K1 -> K2 -> T3", "120 ft / 80 ft / 45.5 ft", "Length"),
    ],
)
def test_several_pulls_in_one_cell(chain: str, lengths: str, unit: str) -> None:
    rows = [["No", "Run", unit, "Cable"], ["R1", chain, lengths, "16/2"]]
    heading = unit.replace("Lengths", "Length")
    rows[0][2] = heading
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert [(p.id, p.near, p.far, round((p.length_m or 0) / 0.3048, 3), p.cable) for p in job.pulls] == [
        ("R1/1", "C1.1", "K1", 120, "16/2"),
        ("R1/2", "K1", "K2", 80, "16/2"),
        ("R1/3", "K2", "T3", 45.5, "16/2"),
    ]


@pytest.mark.parametrize(
    ("rows", "lengths_m", "asked"),
    [
        ([["C1.1 > K1 (1,25 m) > K2 (80 m)", ""]], [1.25, 80], [2]),
        ([["C1.1 > K1 > K2", "1,25; 80"]], [1.25, 80], [2]),
        ([["C1.1 > K1 > K2", "41,5; 12,75"]], [41.5, 12.75], []),  # its lengths settle it
        (
            [["C1.1 > K1 > K2", "12, 80"], ["C1.2 > K3 > K4", "14,60"]],
            [12, 80, 14, 60],
            [],
        ),  # a list, no decimals
        ([["C1.1 > K1 (1,250 m) > K2 (80 m)", ""]], [None, 80], []),
        ([["C1.1 > K1 (1.250,5 m) > K2 (1.250 m)", ""]], [1250.5, 1250], []),
    ],
)
def test_41_separators_in_a_chain(
    rows: list[list[str]], lengths_m: list[float | None], asked: list[int]
) -> None:
    devices = [["Tag", "Power (W)"], *([f"K{n}", 1] for n in range(1, 5))]
    job = read_job(workbook({"Devices": devices, "Runs": [["Run", "Lengths (m)"], *rows]}), "a.xlsx")
    assert [pull.length_m for pull in job.pulls] == lengths_m
    reviews = [remark for remark in job.remarks if remark.level == "review"]
    assert [remark.where.row for remark in reviews if remark.where] == asked


def test_a_run_beside_a_chain_names_it() -> None:
    rows = [["Run", "Chain", "Feet"], ["R1", "C1.1 > K1 > K2", "40, 25"], ["R2", "C1.2 > K3", "30"]]
    job = read_job(workbook({"Devices": DEVICES, "Runs": rows}), "a.xlsx")
    assert [pull.id for pull in job.pulls] == ["R1/1", "R1/2", "R2/1"]


def test_a_run_that_does_not_tell_chains_apart_is_said_not_to_be_read() -> None:
    rows = [["Run", "Chain", "Feet"], ["north", "C1.1 > K1", "40"], ["north", "C1.2 > K2", "30"]]
    job = read_job(workbook({"Devices": DEVICES, "Runs": rows}), "a.xlsx")
    assert [pull.id for pull in job.pulls] == ["chain 1/1", "chain 2/1"]
    assert "the column 'Run' is not read; 'Chain' is read as the chain" in [r.message for r in job.remarks]


def test_chains_alone_in_one_column() -> None:
    rows = [["Chain"], ["C1.1 > K1 (10 m) > K2 (20 m)"], ["C1.2 > T3 (5 m)"]]
    job = read_job(workbook({"Devices": DEVICES, "Runs": rows}), "a.xlsx")
    assert [(p.id, p.near, p.far, p.length_m) for p in job.pulls] == [
        ("chain 1/1", "C1.1", "K1", 10),
        ("chain 1/2", "K1", "K2", 20),
        ("chain 2/1", "C1.2", "T3", 5),
    ]


def test_both_ends_in_one_cell_may_stand_twice() -> None:
    """A cable laid beside another one has the same ends; its own number tells it apart."""
    links = ["C1.1 - K1", "K1 - K2", "C1.2 - T3", "C1.2 - T3"]
    rows = [["Cable", "Link", "Length (m)"], *([f"W{i}", link, 5 * i] for i, link in enumerate(links, 1))]
    job = read_job(workbook({"Devices": DEVICES, "Links": rows}), "a.xlsx")
    assert [(p.id, p.near, p.far, p.length_m) for p in job.pulls] == [
        ("W1", "C1.1", "K1", 5),
        ("W2", "K1", "K2", 10),
        ("W3", "C1.2", "T3", 15),
        ("W4", "C1.2", "T3", 20),
    ]


def test_a_chain_with_too_few_lengths_reads_none() -> None:
    rows = [["No", "Run", "Length (ft)"], ["R1", "C1.1 > K1 > K2", "120"]]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert [p.length_m for p in job.pulls] == [None, None]
    assert job.pulls[0].unread[0].reason == "2 pulls in the chain need 2 lengths"


def test_labelled_cells() -> None:
    rows = [
        ["Bus profile:", "two-wire-35w"],
        ["Allowance per end", "3 ft"],
        ["Waste", "5 %"],
        ["Project: Lodge"],
        [],
        *PULLS,
    ]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert (job.profile_name, job.waste, job.name) == ("two-wire-35w", 0.05, "Lodge")
    assert job.allowance_per_end_m == pytest.approx(3 * 0.3048)


def test_reels_to_buy_and_on_the_shelf() -> None:
    rows = [
        ["Cable", "Reel length (ft)", "Price", "On shelf"],
        ["16/2", 500, "$ 110.50", ""],
        ["16/2", 1000, 200, 2],
    ]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Reels": rows}), "a.xlsx")
    assert [(r.cable, round(r.length_m or 0, 3), r.price, r.on_shelf) for r in job.reels] == [
        ("16/2", 152.4, 110.5, None),
        ("16/2", 304.8, 200.0, 2),
    ]


def test_separation_columns() -> None:
    headings = ["Distance to mains (in)", "Crossing angle", "Alongside loudspeaker cable", "Pinned"]
    rows = [[*PULLS[0], *headings], [*PULLS[1], 12, "90°", "no", "yes"], [*PULLS[2], "n/a", 45, "x", ""]]
    one, two = read_job(job_workbook(pulls=rows), "a.xlsx").pulls
    assert (one.mains_parallel_m, one.mains_crossing_deg) == (pytest.approx(0.3048), 90.0)
    assert (one.loudspeaker_parallel, one.pinned) == (False, True)
    assert (two.mains_crossing_deg, two.loudspeaker_parallel, two.pinned) == (45.0, True, False)
    assert [u.reason for u in two.unread] == ["not a distance"]


def test_rows_read_are_records_and_rows_left_out() -> None:
    rows = [*PULLS, [], ["Total", "", "", 245.5], ["seen RM"]]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    assert job.rows_read == sum(len(table.rows) for table in job.tables) + job.rows_left_out
    assert job.rows_left_out == 2
