"""A layout helps a person to correct what was not understood."""

import json

import pytest

from auditor.errors import LayoutError
from auditor.intake import explain, read_job, read_layout, write_layout
from auditor.job.model import TableKind
from auditor.layout_text import layout_lines

from .workbooks import DEVICES, PULLS, workbook

HEAD = ["Pul", "Frm", "Too", "Lenght (ft)", "Cabel typ"]
ROWS = [["P1", "Q1.1", "X1", 120, "16/2"], ["P2", "X1", "X2", 80, "16/2"], ["P3", "Q1.2", "X3", 45, "16/2"]]


def misspelt(rows: list[list[object]] = ROWS) -> bytes:
    """A sheet of pulls by wrong headings, whose ends stand in no list."""
    return workbook({"Devices": DEVICES, "Runs": [["Hill lodge"], [], HEAD, *rows]})


def test_misspelt_headings_over_ends_that_are_listed_need_no_help() -> None:
    table = explain(misspelt(PULLS[1:]), "a.xlsx").tables[-1]
    assert (table.kind, [column.field for column in table.columns][1:]) == (
        TableKind.PULLS,
        ["near", "far", "length_m", "cable"],
    )
    assert table.columns[2].reason == "its 3 values are tags of the device list"


def test_the_best_row_of_a_sheet_without_a_table_is_shown_to_be_corrected() -> None:
    layout = explain(misspelt(), "a.xlsx")
    assert layout.sheets_without_table == ("Runs",)
    table = layout.tables[-1]
    assert (table.sheet, table.kind, table.heading_rows) == ("Runs", None, (3,))
    assert [(c.column, c.field, c.unit) for c in table.columns] == [
        ("A", "id", None),
        ("B", "near", None),
        ("C", "far", None),
        ("D", "length_m", "ft"),
        ("E", "cable", None),
    ]
    assert (
        table.columns[1].reason
        == "not read; nearest is 'from': to read it so, write \"pulls\" as the table's kind"
    )
    assert table.columns[1].sample == ("Q1.1", "X1", "Q1.2")


def test_the_console_shows_it_as_not_read() -> None:
    lines = list(layout_lines(explain(misspelt(), "a.xlsx")))
    assert "Runs: not read, headings in row 3" in lines
    assert next(line for line in lines if "Frm" in line).split()[:4] == ["B", "Frm", "not", "read"]


def test_a_sheet_that_is_shown_as_not_read_is_not_named_again() -> None:
    lines = list(layout_lines(explain(misspelt(), "a.xlsx")))
    assert [line for line in lines if line.startswith("Runs")] == ["Runs: not read, headings in row 3"]


def evidence(sheets: dict[str, list[list[object]]]) -> dict[str, str]:
    """sheet and column -> the evidence for it."""
    layout = explain(workbook(sheets), "a.xlsx")
    return {f"{table.sheet}!{c.column}": c.reason for table in layout.tables for c in table.columns}


def test_the_evidence_counts_the_values_that_another_table_has() -> None:
    types: list[list[object]] = [["Cable type", "Gauge", "Conductors"], ["16/2", "16 AWG", 2]]
    reasons = evidence({"Devices": DEVICES, "Pulls": PULLS, "Types": types})
    assert reasons["Devices!A"] == "heading 'Tag'; its 3 values are ends of pulls"
    assert reasons["Pulls!B"] == "heading 'From'; 1 of its 3 values is a tag of the device list"
    assert reasons["Pulls!E"] == "heading 'Cable type'; its one value is a listed cable type"


def test_a_legend_is_named_as_evidence_only_where_there_is_one() -> None:
    devices = [["Tag", "Type", "Power (W)"], ["K1", "KP", 0.8], ["K2", "KP", 0.8], ["T3", "TH", 0.5]]
    by_kind = [["Tag", "Type"], *([row[0], row[1]] for row in devices[1:])]
    legend: list[list[object]] = [["Type", "Power (W)"], ["KP", 0.8], ["TH", 0.5]]
    without = evidence({"Devices": devices, "Pulls": PULLS})
    reasons = evidence({"Devices": by_kind, "Pulls": PULLS, "Legend": legend})
    assert without["Devices!B"] == "heading 'Type'"
    assert reasons["Devices!B"] == "heading 'Type'; its 2 values are kinds of the legend"
    assert reasons["Legend!A"] == "heading 'Type'; its 2 values are kinds that devices name"


def test_an_order_on_a_port_is_told_by_its_numbers() -> None:
    head: list[object] = ["Panel", "Port", "No.", "Device", "W", "ft from previous"]
    rows: list[list[object]] = [["P1", p, n, f"K-{p}{n}", 0.6, 20] for p in (1, 2) for n in (1, 2, 3)]
    assert evidence({"Runs": [head, *rows]})["Runs!C"] == "its numbers begin again on each port"


def test_one_word_corrects_it() -> None:
    data = misspelt()
    record = json.loads(write_layout(explain(data, "a.xlsx")))
    record["tables"][-1]["kind"] = "pulls"
    job = read_job(data, "a.xlsx", read_layout(json.dumps(record), "a.json"))
    table = next(table for table in job.tables if table.sheet == "Runs")
    assert (table.kind, table.rows) == (TableKind.PULLS, (4, 5, 6))
    assert table.columns == {"id": 1, "near": 2, "far": 3, "length_m": 4, "cable": 5}
    assert job.remarks[0].level == "review"  # no device of the list stands at an end of these pulls


def test_a_sheet_of_notes_has_no_such_row() -> None:
    data = workbook(
        {"Devices": DEVICES, "Pulls": PULLS, "Notes": [["see drawing"], ["ask the site", "Tuesday"]]}
    )
    assert [table.sheet for table in explain(data, "a.xlsx").tables] == ["Devices", "Pulls"]


def written(kind: str, **fields: str | None) -> str:
    columns = [{"column": column, "field": field} for column, field in fields.items()]
    table = {"sheet": "S", "kind": kind, "heading_rows": [1], "columns": columns}
    return json.dumps({"layout": 1, "file": "a.xlsx", "tables": [table]})


@pytest.mark.parametrize(
    ("kind", "word", "field"),
    [
        ("pulls", "from", "near"), ("pulls", "To", "far"), ("pulls", "length", "length_m"), ("pulls", "cable type", "cable"), ("pulls", "pull id", "id"),
        ("devices", "watts", "power_w"), ("devices", "qty", "quantity"), ("devices", "power", "power_w"), ("devices", "min voltage", "min_voltage_v"),
        ("controllers", "head end", "head_end"), ("cables", "insulation voltage", "insulation_v"), ("pulls", "cable", "cable"), ("devices", "load", "load"),
    ],
)  # fmt: skip
def test_the_words_of_the_screen_are_field_names_too(kind: str, word: str, field: str) -> None:
    assert read_layout(written(kind, A=word), "a.json").tables[0].columns[0].field == field


def test_a_layout_speaks_in_the_words_of_headings_files_and_reads_the_names_of_older_ones() -> None:
    layout = explain(misspelt(), "a.xlsx")
    text = write_layout(layout)
    written_words = {c["field"] for table in json.loads(text)["tables"] for c in table["columns"]}
    assert written_words == {"tag", "room", "qty", "power", "pull id", "from", "to", "length", "cable type"}
    assert not {"near", "power_w", "length_m", "quantity"} & set("\n".join(layout_lines(layout)).split())
    older = text
    for word, name in (("qty", "quantity"), ("power", "power_w"), ("from", "near"), ("length", "length_m")):
        older = older.replace(f'"field": "{word}"', f'"field": "{name}"')
    assert older != text
    assert read_layout(older, "a.json") == read_layout(text, "a.json") == layout


def test_two_words_for_one_field_are_two_columns() -> None:
    with pytest.raises(LayoutError, match="column B: a second column for 'from'"):
        read_layout(written("pulls", A="near", B="from"), "a.json")


def test_all_names_that_would_be_right_are_told() -> None:
    assert TableKind.REELS == "reels"
    with pytest.raises(LayoutError) as refused:
        read_layout(written("reels", A="flavour"), "a.json")
    assert str(refused.value) == (
        "a.json: sheet 'S', column A: no field 'flavour' in a reels table; known are cable type, drum, length, "
        "note, on shelf, price, stock length, unit"
    )


def test_a_unit_in_words() -> None:
    record = json.loads(written("pulls", A="length"))
    record["tables"][0]["columns"][0]["unit"] = "feet"
    assert read_layout(json.dumps(record), "a.json").tables[0].columns[0].unit == "ft"
