"""Columns that are not understood are never passed over in silence."""

import pytest

from auditor.intake import explain, read_job
from auditor.job.model import CellRef, Job, Remark
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, workbook


def reviews(job: Job) -> list[Remark]:
    return [remark for remark in job.remarks if remark.level == "review"]


@pytest.mark.parametrize(
    "heading",
    ["No. off", "No off", "Off", "Nos", "Nos.", "EA", "Ea.", "Qty ea", "Qty req'd", "Q'ty", "Number off", "Quantity required", "How many"],
)  # fmt: skip
def test_a_quantity_by_its_usual_names(heading: str) -> None:
    rows = [["Tag", heading, "Power (W)"], ["K1", 60, 1]]
    assert read_job(job_workbook(rows), "a.xlsx").devices[0].quantity == 60


@pytest.mark.parametrize(
    ("rows", "heading", "word"),
    [
        ([["Tag", "Quantiti", "Power (W)"], ["K1", 60, 1]], "Quantiti", "qty"),
        ([["Tag", "Qty per room", "Power (W)"], ["K1", 60, 1]], "Qty per room", "qty"),
    ],
)
def test_an_unread_column_that_may_count_is_for_review(
    rows: list[list[object]], heading: str, word: str
) -> None:
    found = reviews(read_job(job_workbook(rows), "a.xlsx"))
    assert [(r.rule, r.subject, r.where) for r in found] == [
        ("unreadable-value", heading, CellRef("Devices", 1, rows[0].index(heading) + 1))
    ]
    assert found[0].message == (
        f"the column {heading!r} is not read; if it is the {word}, write {word!r} in its heading or in a layout"
    )


def test_a_slip_in_a_heading_over_values_that_fit_costs_nothing() -> None:
    devices = [["Tag", "Room", "Powr (W)"], ["K1", "Hall", 1.5]]
    pulls = [["Pull", "From", "To", "Lenght (m)"], ["P1", "C1.1", "K1", 120]]
    job = read_job(job_workbook(devices, pulls), "a.xlsx")
    assert (job.devices[0].power_w, job.pulls[0].length_m, reviews(job)) == (1.5, 120, [])


@pytest.mark.parametrize("heading", ["", "Xyz"])
def test_numbers_that_may_be_the_lengths_are_never_passed_over(heading: str) -> None:
    pulls = [[*PULLS[0][:3], heading], *([*row[:3], row[3]] for row in PULLS[1:])]
    job = read_job(job_workbook(pulls=pulls), "a.xlsx")
    asked = [r.where.column for r in reviews(job) if r.where and r.where.sheet == "Pulls"]
    assert asked == [4]
    assert not [pull for pull in job.pulls if pull.length_m or pull.far not in ("K1", "K2", "T3")]


def test_a_second_column_for_a_quantity_that_is_read_is_a_note() -> None:
    rows = [["Tag", "Qty", "Count", "Power (W)"], ["K1", 2, 60, 1]]
    job = read_job(job_workbook(rows), "a.xlsx")
    assert (job.devices[0].quantity, reviews(job)) == (2, [])
    assert [r.message for r in job.remarks if r.where == CellRef("Devices", 1, 3)] == [
        "the column 'Count' is not read; 'Qty' is read as the qty"
    ]


def test_a_colour_is_no_matter() -> None:
    rows = [["Tag", "Colour", "Power (W)"], ["K1", "red", 1]]
    assert reviews(read_job(job_workbook(rows), "a.xlsx")) == []


def test_unread_columns_of_the_cable_table_are_said_with_what_they_might_be() -> None:
    cables = [["Cable", "Gauge", "Jacket test", "Colour", "Notes"], ["16/2", "16 AWG", 300, "red", "new"]]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Cables": cables}), "a.xlsx")
    said = {r.where: (r.level, r.message) for r in job.remarks if r.where and r.where.sheet == "Cables"}
    level, message = said[CellRef("Cables", 1, 3)]
    assert level == "note"
    assert message == (
        "the column 'Jacket test' is not read; if it is one of description, stranded, conductors, coated, shielded, "
        "capacitance, fire rating, insulation voltage, resistance, cost, write that in its heading or in a layout"
    )
    assert CellRef("Cables", 1, 5) not in said


def about_headings(sheets: dict[str, list[list[object]]]) -> list[str]:
    """The headings of which something is asked or said."""
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, **sheets}), "a.xlsx")
    return [remark.subject for remark in job.remarks if "is not read" in remark.message]


@pytest.mark.parametrize(
    "heading", ["Price/ft", "Cost per ft", "Unit price", "Colour", "Supplier", "Datasheet", "Weight kg"]
)
def test_nothing_is_asked_of_a_heading_that_is_plainly_something_else(heading: str) -> None:
    cables: list[list[object]] = [["Cable", "Gauge", heading], ["16/2", "16 AWG", 0.41]]
    pulls: list[list[object]] = [[*PULLS[0], heading], *([*row, 0.41] for row in PULLS[1:])]
    assert about_headings({"Cables": cables, "Pulls": pulls}) == []


def test_a_route_that_names_no_ends_is_no_chain() -> None:
    pulls: list[list[object]] = [[*PULLS[0], "Route"], *([*row, "corridor"] for row in PULLS[1:])]
    assert about_headings({"Pulls": pulls}) == []
    (_, table) = explain(job_workbook(pulls=pulls), "a.xlsx").tables
    assert table.columns[-1].reason == "not read: no chain of ends stands in it"


@pytest.mark.parametrize(("value", "asked"), [("", []), ("tinned", ["Outside"])], ids=["blank", "filled"])
def test_a_blank_column_of_a_cable_table_is_not_worth_a_note(value: str, asked: list[str]) -> None:
    cables: list[list[object]] = [["Cable", "Gauge", "Outside"], ["16/2", "16 AWG", value]]
    assert about_headings({"Cables": cables}) == asked


def test_a_misspelt_heading_over_chains_is_asked_about() -> None:
    pulls: list[list[object]] = [
        [*PULLS[0], "Daisy chian"],
        *([*row, f"C1.1 > {row[2]}"] for row in PULLS[1:]),
    ]
    assert about_headings({"Pulls": pulls}) == ["Daisy chian"]


def test_a_price_word_does_not_hide_a_quantity() -> None:
    devices: list[list[object]] = [["Tag", "Qty per price", "Power (W)"], ["K1", 2, 1]]
    assert about_headings({"Devices": devices}) == ["Qty per price"]


@pytest.mark.parametrize("heading", ["Fire rating", "Riser or plenum", "Brandklasse", "Réaction au feu"])
def test_the_fire_rating_of_a_cable_is_kept_as_it_is_marked(heading: str) -> None:
    cables = [["Cable", "Gauge", heading], ["16/2", "16 AWG", "riser"]]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Cables": cables}), "a.xlsx")
    assert job.cables["16/2"].fire_rating == "riser"
