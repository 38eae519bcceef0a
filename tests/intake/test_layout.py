"""Layouts: how a workbook was understood, corrected by a person and applied again."""

import json
from dataclasses import replace
from itertools import pairwise

import pytest

from auditor.errors import LayoutError
from auditor.intake import choose_layout, explain, read_job, read_layout, write_layout
from auditor.job.model import TableKind

from .workbooks import DEVICES, PULLS, job_workbook, workbook

ODD = [["Ltg", "Anschlussstelle A", "Anschlussstelle B", "Maß", "Sorte"], *PULLS[1:]]


def odd_layout() -> str:
    """What a person makes of a workbook whose pull sheet nobody could understand."""
    record = json.loads(write_layout(explain(workbook({"Devices": DEVICES, "Odd": ODD}), "odd.xlsx")))
    assert record["sheets_without_table"] == ["Odd"]
    record["sheets_without_table"] = []
    fields = ["id", "near", "far", "length_m", "cable"]
    record["tables"].append(
        {
            "sheet": "Odd",
            "kind": "pulls",
            "heading_rows": [1],
            "columns": [
                {
                    "column": "ABCDE"[i],
                    "heading": ODD[0][i],
                    "field": field,
                    "unit": "m" if field == "length_m" else None,
                }
                for i, field in enumerate(fields)
            ],
        }
    )
    return json.dumps(record)


def test_explain_says_how_each_column_was_understood() -> None:
    layout = explain(workbook({"Notes": [["see drawing"]], "Devices": DEVICES, "Pulls": PULLS}), "lodge.xlsx")
    assert layout.file == "lodge.xlsx"
    assert layout.sheets_without_table == ("Notes",)
    table = layout.tables[1]
    assert (table.sheet, table.kind, table.heading_rows) == ("Pulls", TableKind.PULLS, (1,))
    assert [(c.column, c.heading, c.field, c.unit, c.reason, c.sample) for c in table.columns][3] == (
        "D",
        "Length (ft)",
        "length_m",
        "ft",
        "heading 'Length (ft)'",
        ("120", "80", "45.5"),
    )


def test_a_column_that_is_not_read_says_why() -> None:
    rows = [[*PULLS[0], "Sheen"], *([*row, "matt"] for row in PULLS[1:])]
    column = explain(job_workbook(pulls=rows), "a.xlsx").tables[1].columns[5]
    assert (column.field, column.reason) == (None, "not read: no known heading")


def test_written_and_read_back_it_is_the_same() -> None:
    layout = explain(job_workbook(), "lodge.xlsx")
    assert read_layout(write_layout(layout), "layout.json") == layout


def test_applied_to_its_own_workbook_it_changes_nothing() -> None:
    data = job_workbook()
    job, again = read_job(data, "a.xlsx"), read_job(data, "a.xlsx", explain(data, "a.xlsx"))
    assert (again.devices, again.pulls, again.tables) == (job.devices, job.pulls, job.tables)


def test_a_corrected_layout_reads_what_nobody_could_guess() -> None:
    data = workbook({"Devices": DEVICES, "Odd": ODD})
    job = read_job(data, "odd.xlsx", read_layout(odd_layout(), "odd.json"))
    assert [(p.id, p.near, p.far, p.length_m, p.cable) for p in job.pulls] == [
        ("P1", "C1.1", "K1", 120.0, "16/2"),
        ("P2", "K1", "K2", 80.0, "16/2"),
        ("P3", "C1.2", "T3", 45.5, "16/2"),
    ]


def test_headings_that_moved_are_found_again() -> None:
    moved = workbook({"Devices": DEVICES, "Odd": [["New title"], [], *ODD]})
    job = read_job(moved, "odd.xlsx", read_layout(odd_layout(), "odd.json"))
    assert [p.where.row for p in job.pulls] == [4, 5, 6]


def test_a_layout_that_does_not_fit_says_so() -> None:
    other = workbook({"Devices": DEVICES, "Odd": PULLS})
    with pytest.raises(LayoutError) as refused:
        read_job(other, "odd.xlsx", read_layout(odd_layout(), "odd.json"))
    assert str(refused.value) == (
        "odd.xlsx: the layout says that 'Ltg' heads column A of 'Odd'; it stands nowhere there: make the layout again"
    )


def test_a_layout_is_chosen_by_name_then_by_pattern_then_by_headings() -> None:
    data = workbook({"Devices": DEVICES, "Odd": ODD})
    layout = read_layout(odd_layout(), "odd.json")
    folder = replace(layout, file="*.xlsx")
    assert choose_layout([folder, layout], data, "jobs/odd.xlsx") is layout
    assert choose_layout([layout, folder], data, "jobs/other.xlsx") is folder
    assert choose_layout([layout], data, "jobs/other.xlsx") is layout
    assert choose_layout([layout], job_workbook(), "jobs/other.xlsx") is None
    assert choose_layout([], data, "jobs/odd.xlsx") is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda r: r.pop("file"), "odd.json: the file: lacks file"),
        (
            lambda r: r["tables"][1]["columns"][0].update(field="flavour"),
            "odd.json: sheet 'Odd', column A: no field 'flavour' in a pulls table; known are ",
        ),
        (
            lambda r: r["tables"][1]["columns"][0].update(field="near"),
            "odd.json: sheet 'Odd', column B: a second column for 'from'; one column to one field",
        ),
        (
            lambda r: r["tables"][1]["columns"][3].update(unit="kg"),
            "odd.json: sheet 'Odd', column D: no unit 'kg' for 'length'; known are cm, ft, in, km, m, mm, yd",
        ),
        (
            lambda r: r["tables"][1].update(kind="pull"),
            "odd.json: sheet 'Odd', kind: wanted devices, pulls, combined, cables, controllers, reels, legend, splices, lengths "
            'or null, not "pull"',
        ),
        (
            lambda r: r["tables"][1].update(rows=3),
            "odd.json: sheet 'Odd': has the unknown field 'rows'; the fields are sheet, kind, heading_rows, first_row, last_row, columns",
        ),
        (
            lambda r: r["tables"][1]["columns"][2].update(column="3"),
            "odd.json: sheet 'Odd', column 3, column: wanted the letters of a column such as A or AB, not \"3\"",
        ),
        (
            lambda r: r["tables"][1].update(heading_rows=["one"]),
            "odd.json: sheet 'Odd', heading_rows, number 1: wanted a whole number, not \"one\"",
        ),
        (
            lambda r: r["tables"][1].update(heading_rows=[]),
            "odd.json: sheet 'Odd': lacks first_row",
        ),
        (lambda r: r["tables"][1].pop("sheet"), "odd.json: tables, number 2: lacks sheet"),
    ],
)
def test_a_layout_that_is_not_right_names_the_place(change: object, sentence: str) -> None:
    record = json.loads(odd_layout())
    change(record)  # type: ignore[operator]
    with pytest.raises(LayoutError) as refused:
        read_layout(json.dumps(record), "odd.json")
    assert str(refused.value).startswith(sentence)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "{\n oops",
            "line 2, character 2: a name in straight quotes is wanted here; after a last entry no comma",
        ),
        ('{"layout": 1\n "file"', "line 2, character 2: a comma or a closing bracket is wanted here"),
        (
            '{"layout": 1,\n "tables": [',
            "the text ends too early, in line 2; a closing bracket or a value is missing there",
        ),
        ("", "the file is empty"),
        ("[" * 100_000, "the text is not as JSON is written, or is nested too deeply"),
    ],
)
def test_no_json_at_all(text: str, sentence: str) -> None:
    with pytest.raises(LayoutError) as refused:
        read_layout(text, "odd.json")
    assert str(refused.value) == f"odd.json: {sentence}; correct it, or make it anew with «auditor layout»"


def changed_by_hand(**changes: object) -> str:
    """The layout of a plain workbook, its table of pulls changed."""
    record = json.loads(write_layout(explain(job_workbook(), "a.xlsx")))
    record["tables"][1].update(changes)
    return json.dumps(record)


def refusal(text: str) -> str:
    with pytest.raises(LayoutError) as refused:
        read_job(job_workbook(), "a.xlsx", read_layout(text, "a.layout.json"))
    return str(refused.value)


def test_a_sheet_that_is_not_there_is_told_with_those_that_are() -> None:
    assert refusal(changed_by_hand(sheet="Pull")) == (
        "a.xlsx: the layout names the sheet 'Pull', the workbook has none of this name; its sheets are 'Devices', 'Pulls'"
    )


def test_a_column_that_the_sheet_does_not_have() -> None:
    columns = json.loads(changed_by_hand())["tables"][1]["columns"]
    columns[3]["column"] = "Z"
    assert refusal(changed_by_hand(columns=columns)) == (
        "a.xlsx: the layout reads the length from column Z of 'Pulls'; its last column is E: correct the column"
    )


def test_headings_far_below_the_sheet_are_found_by_their_texts_else_told() -> None:
    job = read_job(job_workbook(), "a.xlsx", read_layout(changed_by_hand(heading_rows=[30]), "a.json"))
    assert [pull.id for pull in job.pulls] == ["P1", "P2", "P3"]
    assert [remark.message for remark in job.remarks] == [
        "the layout says that headings stand in row 30; they are read in row 1, where they are found"
    ]
    columns = json.loads(changed_by_hand())["tables"][1]["columns"]
    for column in columns:
        column["heading"] = ""
    assert refusal(changed_by_hand(heading_rows=[30], columns=columns)) == (
        "a.xlsx: the layout says that headings stand in row 30 of 'Pulls'; it ends at row 4: correct heading_rows"
    )
    columns[0]["heading"] = "Elsewhere"
    assert refusal(changed_by_hand(heading_rows=[30], columns=columns)) == (
        "a.xlsx: the layout says that 'Elsewhere' heads column A of 'Pulls'; it stands nowhere there: make the layout again"
    )


def test_the_layout_of_a_table_without_headings_reads_its_own_workbook_only() -> None:
    ends = ["C1.1", *(f"KP-{number}" for number in range(101, 109))]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in ends[1:])]
    pulls = [[f"P{n}", near, far, f"{20 + n * 5 % 8} ft"] for n, (near, far) in enumerate(pairwise(ends))]
    data = workbook({"Devices": devices, "Pulls": pulls})
    layout = read_layout(write_layout(explain(data, "bare.xlsx")), "bare.layout.json")
    bare = next(table for table in layout.tables if table.sheet == "Pulls")
    assert (bare.heading_rows, bare.first_row) == ((), 1)
    assert len(read_job(data, "bare.xlsx", layout).pulls) == 8
    assert choose_layout([layout], data, "other.xlsx") is None
    turned = workbook({"Devices": devices, "Pulls": [row[::-1] for row in pulls]})
    other = read_job(turned, "other.xlsx", replace(layout, file="*.xlsx"))
    assert [pull.far for pull in other.pulls] == ends[1:]
