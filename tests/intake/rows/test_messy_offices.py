"""Whole workbooks as hurried offices write them, and what they mean."""

import io
from collections.abc import Sequence
from typing import Any

import pytest
import xlsxwriter

from auditor.intake import read_job
from auditor.job.model import Job
from auditor.units import m_from_ft
from tests.intake.workbooks import workbook

Row = Sequence[Any]
Pulls = list[tuple[str, str, float | None]]


def read(sheets: dict[str, Sequence[Row]]) -> Job:
    return read_job(workbook(sheets), "a.xlsx")


def in_feet(job: Job) -> Pulls:
    return [
        (p.near, p.far, None if p.length_m is None else round(p.length_m / m_from_ft(1), 6))
        for p in job.pulls
    ]


def in_metres(job: Job) -> Pulls:
    return [(p.near, p.far, p.length_m) for p in job.pulls]


def reviews(job: Job) -> list[tuple[str, str]]:
    return [(r.subject, r.where.a1 if r.where else "") for r in job.remarks if r.level == "review"]


HEAD = ["Pull", "From", "To", "Length (ft)"]
TWO = [["1", "C1.1", "K1", 10], ["2", "K1", "K2", 20]]
TWO_FT = [("C1.1", "K1", 10), ("K1", "K2", 20)]


def test_chains_by_port_on_a_sheet_that_is_named_after_its_controller() -> None:
    loads = [
        ["ESTIMATE 4411"],
        [],
        ["Device", "Room", "Draw (mA @ 24V)"],
        ["K1", "Hall", 40],
        ["K2", "Bar", 35],
    ]
    chains = [["Port", "Daisy chain"], ["1", "K1 (120') -> K2 (80')"], ["2", "T1 (45'-6\") -> T2 (30 ft)"]]
    job = read({"Loads": loads, "C1": chains})
    assert in_feet(job) == [("C1.1", "K1", 120), ("K1", "K2", 80), ("C1.2", "T1", 45.5), ("T1", "T2", 30)]
    assert [(d.tag, d.power_w) for d in job.devices] == [
        ("K1", pytest.approx(0.96)),
        ("K2", pytest.approx(0.84)),
    ]


def test_chains_from_a_head_end_with_the_port_beside_them() -> None:
    job = read({"C1": [["Port", "Daisy chain"], ["3", "Rack > K1 (12 ft) > K2 (8 ft)"]]})
    assert in_feet(job) == [("C1.3", "K1", 12), ("K1", "K2", 8)]


def test_a_length_before_the_first_pull_of_a_chain_is_not_lost() -> None:
    job = read({"Runs": [["Daisy chain"], ["K1 (120') -> K2 (24 V)"]]})
    assert in_feet(job) == [("", "K1", 120), ("K1", "K2", None)]
    longer = read({"Runs": [["Daisy chain"], ["K1 (120') -> K2 (80') -> K3 (24 V)"]]})
    assert longer.pulls == ()  # nothing says what feeds them, and there are enough to ask so
    assert longer.remarks[0].message.startswith("no end of a pull is known as a port")


def test_devices_and_pulls_side_by_side_without_a_gap_are_two_tables() -> None:
    head = ["Tag", "Room", "Watts", "Pull", "From", "To", "Feet"]
    rows = [
        ["K2", "Bar", 2, "P1", "C1.1", "K1", 10],
        ["K1", "Hall", 1, "P2", "K1", "K2", 20],
        ["K3", "Den", 1.5],
    ]
    job = read({"All": [head, *rows]})
    assert in_feet(job) == TWO_FT
    assert [(d.tag, d.power_w) for d in job.devices] == [("K2", 2), ("K1", 1), ("K3", 1.5)]


def test_home_runs_of_a_sheet_of_devices() -> None:
    rows = [["Tag", "Location", "Fed from", "Home run (ft)", "Load (W)"], ["K1", "Hall", "C1.1", 10, 1], ["K2", "Bar", "K1", 20, 1]]  # fmt: skip
    assert in_feet(read({"Devices": rows})) == TWO_FT


@pytest.mark.parametrize(
    ("extra", "at"),
    [
        (["Controller C1"], 1),
        (["Floor 2"], 2),
        (["Panel 2 - Port 3"], 1),
        (["Geschoss 2"], 2),
        (["", "", "Total cable", 30], 3),
        (["", "", "+ 10 %", 33], 3),
        (["", "", "Waste + 10 %", 33], 3),
    ],
)
@pytest.mark.parametrize("gap", [[], [[]]], ids=["close", "after a blank row"])
def test_rows_that_head_a_section_or_add_up_are_no_pulls(extra: Row, at: int, gap: list[Row]) -> None:
    rows: list[Row] = [HEAD, *TWO]
    rows[at:at] = [*gap, extra]
    job = read({"Pulls": rows})
    assert in_feet(job) == TWO_FT
    assert job.rows_left_out == 1


def test_a_pull_with_only_its_number_is_asked_about() -> None:
    assert in_feet(read({"Pulls": [HEAD, *TWO, ["P3"]]})) == [*TWO_FT, ("", "", None)]


def test_totals_of_parts_and_shares_below_a_block() -> None:
    head, rows = [*HEAD[:3], "Type", "Ft"], [[1, "C1.1", "K1", "A", 10], [2, "K1", "K2", "B", 20]]
    more = [["", "", "", "Total A", 10], ["", "", "", "Total B", 20], ["", "", "", "Spare 10 %", 3]]
    assert reviews(read({"Pulls": [head, *rows, *more]})) == []
    wrong = [["", "", "", "Total A", 10], ["", "", "", "Total B", 25]]
    assert reviews(read({"Pulls": [head, *rows, *wrong]})) == [("total in row 4", "E4")]


@pytest.mark.parametrize(
    ("headings", "values", "asked"),
    [
        (["Length (ft)", "Slack (ft)"], [[10, 5], [20, 5]], [("Slack (ft)", "E1")]),
        (["Length (ft)", "Total (ft)"], [[10, 10], [20, 20]], []),
        (["Ft", "In"], [[10, 6], [20, 0]], [("In", "E1")]),
        (["Length (ft)", "Qty"], [[10, 1], [20, 2]], [("Qty", "E1")]),
        (["Length (ft)", "Qty"], [[10, 1], [20, 1]], []),
    ],
)
def test_a_column_that_changes_how_much_cable_there_is(
    headings: list[str], values: list[list[float]], asked: list[tuple[str, str]]
) -> None:
    rows = [[*TWO[0][:3], *values[0]], [*TWO[1][:3], *values[1]]]
    job = read({"Pulls": [[*HEAD[:3], *headings], *rows]})
    assert in_feet(job) == TWO_FT
    assert reviews(job) == asked


@pytest.mark.parametrize("later", ["Revised length (ft)", "As built (ft)"])
def test_of_two_lengths_the_later_one_counts_and_it_is_said(later: str) -> None:
    job = read({"Pulls": [[*HEAD, later], [*TWO[0], 12], [*TWO[1], 20]]})
    assert in_feet(job) == [("C1.1", "K1", 12), ("K1", "K2", 20)]
    assert [(r.level, r.where and r.where.a1, r.message) for r in job.remarks] == [
        ("note", "D1", f"{later!r} is read as the length, 'Length (ft)' is not")
    ]


@pytest.mark.parametrize("headings", [["Watts (typ)", "Watts (max)"], ["Watts (max)", "Watts (typ)"]])
def test_of_two_powers_the_greatest_is_read(headings: list[str]) -> None:
    watts = {"Watts (typ)": 0.5, "Watts (max)": 2}
    devices = [["Tag", *headings], ["K1", *map(watts.__getitem__, headings)]]
    assert read({"Devices": devices, "Pulls": [HEAD, TWO[0]]}).devices[0].power_w == 2


def test_a_tag_is_read_before_a_name() -> None:
    devices = [["Name", "Tag", "Watts"], ["Keypad hall", "K1", 1], ["Keypad bar", "K2", 2]]
    assert [d.tag for d in read({"Devices": devices, "Pulls": [HEAD, *TWO]}).devices] == ["K1", "K2"]


def test_a_port_beside_its_controller() -> None:
    rows = [["From", "From port", "To", "Feet"], ["C1", 1, "K1", 10], ["K1", "", "K2", 20]]
    assert in_feet(read({"Pulls": rows})) == TWO_FT


def test_the_port_of_a_number_may_be_another_one() -> None:
    pulls = [["From", "To", "Feet"], [1.1, "K1", 10], ["K1", "K2", 20]]
    for ports, asked in ((12, [("1.1", "A2")]), (4, [])):
        job = read({"Controllers": [["Controller", "Ports"], [1, ports]], "Pulls": pulls})
        assert [p.near for p in job.pulls] == ["1.1", "K1"]
        assert reviews(job) == asked


@pytest.mark.parametrize(
    ("text", "length_m"),
    [
        ("20 LF", m_from_ft(20)),
        ("20 lin. ft", m_from_ft(20)),
        ("20 l.f.", m_from_ft(20)),
        ("20 linear feet", m_from_ft(20)),
        ("20 lfm", 20),
        ("20 ml", 20),
        ("20 rm", 20),
        ("1/2 m", 0.5),
        ("6/12", None),
        ("12/6", None),
    ],
)
def test_running_lengths_and_what_may_be_a_date(text: str, length_m: float | None) -> None:
    job = read({"Pulls": [HEAD, ["1", "C1.1", "K1", text]]})
    assert job.pulls[0].length_m == (None if length_m is None else pytest.approx(length_m))


@pytest.mark.parametrize(
    ("heading", "length_m"),
    [("LF", m_from_ft(10)), ("Lin. ft", m_from_ft(10)), ("lfm", 10), ("Longueur (ml)", 10)],
)
def test_headings_of_running_lengths(heading: str, length_m: float) -> None:
    job = read({"Pulls": [[*HEAD[:3], heading], TWO[0]]})
    assert job.pulls[0].length_m == pytest.approx(length_m)


@pytest.mark.parametrize(
    "title", ["Cable schedule - all lengths in metres", "Rev C; lengths in m (as measured)"]
)
def test_a_title_that_states_the_unit(title: str) -> None:
    job = read({"Pulls": [[title], [*HEAD[:3], "Length"], *TWO]})
    assert in_metres(job) == TWO_FT


def test_a_sentence_that_all_headings_contradict_is_asked_about() -> None:
    sheets = {"Pulls": [["All lengths in metres"], HEAD, *TWO]}
    job = read(sheets)
    assert in_feet(job) == TWO_FT
    assert reviews(job) == [("Length (ft)", "D2")]
    assert reviews(read(sheets | {"More": [[*HEAD[:3], "Length"], ["3", "C1.2", "K3", 5]]})) == []


def test_a_number_that_a_text_file_takes_apart_is_asked_about() -> None:
    job = read_job(b"From,To,Length (ft)\nC1.1,K1,10\nK1,K2,1,250\nK2,K3,20\n", "a.csv")
    assert [pull.length_m for pull in job.pulls][1] == m_from_ft(1)
    assert reviews(job) == [("pulls table on 'a'", "D3")]
    whole = b"From,To,Length (ft)\nC1.1,K1,10,a note\nK1,K2,20,another\n"
    assert reviews(read_job(whole, "a.csv")) == []
    beside = b"From,To,Length (ft),,Tag,Watts\nC1.1,K1,10,,K1,1\nK1,K2,20,,K2,1\nK2,K3,30\n"
    assert reviews(read_job(beside, "a.csv")) == []


def test_ports_do_not_speak_against_a_decimal_comma() -> None:
    data = b"Tag;Fed from;Length (m);Power (W)\nK1;C1.1;2,5;0,8\nK2;K1;3;1\n"
    job = read_job(data, "a.csv")
    assert [d.power_w for d in job.devices] == [0.8, 1]
    assert reviews(job) == []


def test_ports_of_the_controller_that_a_sheet_is_named_after() -> None:
    rows = [
        ["Port", "From", "To", "Length (ft)"],
        [1, "Panel", "K1", 10],
        [1, "K1", "K2", 20],
        [2, "Panel", "K3", 5],
    ]
    job = read({"Controller 1": rows, "Controller 2": rows[:2]})
    assert [p.near for p in job.pulls] == ["Controller 1.1", "K1", "Controller 1.2", "Controller 2.1"]


def merged_down(column: int, value: str | float, rows: Sequence[Row]) -> Job:
    """The rows below the heading, their cells in this column merged into one."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Pulls")
        for r, row in enumerate(rows):
            sheet.write_row(r, 0, row)
        sheet.merge_range(1, column, len(rows) - 1, column, value)
    return read_job(held.getvalue(), "a.xlsx")


def test_cells_merged_down_count_for_all_their_rows() -> None:
    job = merged_down(1, "C1.1", [HEAD, ["1", "", "K1", 10], ["2", "", "K2", 20], ["3", "", "K3", 30]])
    assert in_feet(job) == [("C1.1", "K1", 10), ("C1.1", "K2", 20), ("C1.1", "K3", 30)]
    assert [r.message for r in job.remarks] == [
        "the cell merged over rows 2 to 4 under 'From' is read in each of them"
    ]


def test_a_length_merged_down_may_be_a_sum_and_is_not_spread() -> None:
    job = merged_down(3, 30.0, [HEAD, ["1", "C1.1", "K1", ""], ["2", "K1", "K2", ""]])
    assert in_feet(job) == [("C1.1", "K1", 30), ("K1", "K2", None)]


@pytest.mark.parametrize(
    ("sheets", "pulls"),
    [
        (
            {"Stränge": [["Strang", "Leitungsweg", "Längen (m)"], ["1", "C1.1 -> K1 -> K2", "12,5; 20"], ["2", "C1.2 -> K3", "30"]]},
            [("C1.1", "K1", 12.5), ("K1", "K2", 20), ("C1.2", "K3", 30)],
        ),
        (
            {"Kabelzug": [["Kabelzugliste"], ["Lfd. Nr.", "Von", "Nach", "Kabeltyp", "Länge in m"], [1, "Zentrale 1 / Port 1", "K1", "2x1,5", "12,5"], [2, "K1", "K2", "2x1,5", "1.250,5"], ["", "", "", "Summe", "1.263,0"]]},
            [("Zentrale 1.1", "K1", 12.5), ("K1", "K2", 1250.5)],
        ),
        (
            {"Geräte": [["Kennung", "Raum", "Gespeist von", "Leitungslänge (m)", "Leistung (mW)"], ["K1", "Flur", "C1 Port 1", "12,5", 800], ["K2", "Bad", "K1", "7", 500]]},
            [("C1.1", "K1", 12.5), ("K1", "K2", 7)],
        ),
        (
            {"Câbles": [["Repère", "Tenant", "Aboutissant", "Type de câble", "Longueur (m)"], ["W1", "C1 sortie 1", "K1", "2x1,5", 25], ["W2", "K1", "K2", "2x1,5", "17,5"], ["Total", "", "", "", 42.5]]},
            [("C1.1", "K1", 25), ("K1", "K2", 17.5)],
        ),
        (
            {"Parcours": [["N°", "Parcours", "Longueurs (m)"], ["1", "C1.1 > K1 > K2", "12,5 + 20"]]},
            [("C1.1", "K1", 12.5), ("K1", "K2", 20)],
        ),
        (
            {"Cables": [["Nº cable", "Origen", "Destino", "Tipo de cable", "Longitud (m)"], ["1", "C1 puerto 1", "K1", "2x1,5", 25], ["2", "K1", "K2", "2x1,5", "17,50"], ["", "", "", "Suma", 42.5]]},
            [("C1.1", "K1", 25), ("K1", "K2", 17.5)],
        ),
    ],
    ids=["chain de", "de", "combined de", "fr", "chain fr", "es"],
)  # fmt: skip
def test_other_languages(sheets: dict[str, Sequence[Row]], pulls: Pulls) -> None:
    job = read(sheets)
    assert in_metres(job) == pulls
    assert reviews(job) == []


def test_a_system_that_is_all_somebody_else_s_is_left_out() -> None:
    head = ["Sys", "Cable", "From", "To", "Length (ft)", "Status"]
    bus = [["CB", "1", "BC-1 P1", "K1", 10, "issued"], ["CB", "2", "K1", "K2", 20, "issued"]]
    door = [["AC", "3", "DC-1", "R1", 50, "by others"], ["AC", "4", "DC-1", "R2", 60, "by others"]]
    devices = [["Sys", "Tag", "Watts"], ["CB", "K1", 1], ["CB", "K2", 1], ["AC", "R1", 2], ["AC", "R2", 2]]
    job = read({"Pulls": [head, *bus, *door], "Devices": devices})
    assert [pull.far for pull in job.pulls] == ["K1", "K2"]
    assert [device.tag for device in job.devices] == ["K1", "K2"]


def test_a_subtotal_with_its_page_is_no_device() -> None:
    head = ["Tag", "Watts"]
    devices = [head, ["K1", 1], ["PAGE 1 SUBTOTAL", 1], head, ["K2", 2], ["PAGE 2 SUBTOTAL", 2]]
    job = read({"Devices": devices, "Pulls": [HEAD, *TWO]})
    assert [device.tag for device in job.devices] == ["K1", "K2"]
