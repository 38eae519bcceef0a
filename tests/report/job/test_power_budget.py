"""The power budget's live formulas add up the estimator's own rows to what the audit found."""

import dataclasses
import io
from pathlib import Path

import openpyxl
import pytest

from auditor.job.model import CellRef, TableKind
from auditor.report.job.power_budget import LiveRows
from auditor.report.job.sheets import job_sheets
from auditor.results.audit_result import LimitsResult, SupplyResult
from auditor.results.findings import Verdict
from tests.report.audits import audit, device, full_audit, run, table
from tests.report.books import Written, as_file, formulas, opened, recalculated, rows_below

PORT_COLUMN = 8


def live(**changes) -> LiveRows:
    usual = {
        "table": table(TableKind.DEVICES, "Bob's devices", range(5, 9), tag=1, power_w=3),
        "port_column": PORT_COLUMN,
        "plain_rows": frozenset(range(5, 9)),
        "power_w_per_unit": 1.0,
    }
    return LiveRows(**(usual | changes))


def at(tag: str, row: int, **changes):
    return device(tag, row, where=CellRef("Bob's devices", row, 1), **changes)


DEVICES = (
    at("A", 5, power_w=2.5),
    at("B", 6, power_w=2.5),
    at("C", 7, port="2", power_w=4.0),
    at("D", 8, port="10", power_w=1.0),
)
RUNS = (run("1", power_w=5.0), run("2", power_w=4.0, devices=1), run("10", power_w=1.0, devices=1))


def budget(job, *rows: LiveRows) -> dict[str, str]:
    found = formulas(job_sheets(job, live=rows))
    return {cell: text for (sheet, cell), text in found.items() if sheet == "Power budget"}


def test_watts_of_each_port_are_summed_over_the_device_rows():
    cells = budget(audit(runs=RUNS, devices=DEVICES), live())
    ports = "'Bob''s devices'!$H$5:$H$8"
    assert cells["C5"] == f"=SUMIFS('Bob''s devices'!$C$5:$C$8,{ports},$A5)"
    assert cells["C7"] == f"=SUMIFS('Bob''s devices'!$C$5:$C$8,{ports},$A7)"
    assert cells["C8"] == "=SUBTOTAL(9,C5:C7)"


@pytest.mark.parametrize("controller", ["1", "*", ">0", "C?"])
def test_a_port_whose_name_sumifs_would_read_its_own_way_is_compared_as_it_stands(controller):
    devices = tuple(dataclasses.replace(each, controller=controller) for each in DEVICES)
    runs = tuple(dataclasses.replace(each, controller=controller) for each in RUNS)
    cells = budget(audit(runs=runs, devices=devices), live())
    assert cells["C5"] == "=SUMPRODUCT(--('Bob''s devices'!$H$5:$H$8=$A5),'Bob''s devices'!$C$5:$C$8)"


def test_a_quantity_column_multiplies_and_an_empty_quantity_counts_once():
    rows = live(table=table(TableKind.DEVICES, "Bob's devices", range(5, 9), tag=1, quantity=2, power_w=3))
    text = budget(audit(runs=RUNS, devices=DEVICES), rows)["C5"]
    assert text.count("$B$5:$B$8") == 2
    assert '=""' in text


@pytest.mark.parametrize(
    "job",
    [
        audit(runs=RUNS, devices=DEVICES[1:]),  # a device of the run stands in no table
        audit(runs=(run("1", power_w=5.1),), devices=DEVICES),  # the rows do not add up to the run
        audit(runs=(run("1", power_w=None),), devices=DEVICES),
        audit(runs=(run(None, controller=None, branch="P1"),), devices=DEVICES),
    ],
)
def test_watts_that_a_formula_would_not_reach_stay_numbers(job):
    assert "C5" not in budget(job, live())


def test_a_sheet_name_that_reads_like_a_function_stays_as_it_is():
    rows = live(table=table(TableKind.DEVICES, "SORT(2)", range(5, 9), tag=1, power_w=3))
    devices = tuple(
        dataclasses.replace(each, where=CellRef("SORT(2)", each.where.row, 1)) for each in DEVICES
    )
    cells = budget(audit(runs=RUNS, devices=devices), rows)
    assert cells["C5"] == "=SUMIFS('SORT(2)'!$C$5:$C$8,'SORT(2)'!$H$5:$H$8,$A5)"


def test_a_power_given_as_text_keeps_its_port_from_being_live():
    cells = budget(audit(runs=RUNS, devices=DEVICES), live(plain_rows=frozenset((5, 7, 8))))
    assert "C5" not in cells
    assert "C6" in cells


ALL_FOLLOW = (
    "Watts follow the device list as you change its figures; volts, loss, ports and new rows are as audited."
)


@pytest.mark.parametrize(
    ("plain", "said"),
    [
        ({5, 6, 7, 8}, ALL_FOLLOW),
        (
            {6, 7, 8},
            f"{ALL_FOLLOW} Not so the watts of C1.1: a power there is missing or no plain number; "
            "audit again after a change.",
        ),
        ({5, 6, 7}, f"{ALL_FOLLOW} Not so the watts of C1.10: a power there is missing or no plain "
            "number; audit "
        "again after a change."),
        ({5}, "Figures as audited: audit again after a change to the device list."),
    ],
)  # fmt: skip
def test_which_ports_follow_the_device_list_is_said(plain, said):
    job = audit(runs=RUNS, devices=DEVICES, voltage_basis="")
    data = job_sheets(job, live=(live(plain_rows=frozenset(plain)),))
    assert opened(data)["Power budget"]["A2"].value == f"All devices drawing at once. {said}"
    found = {cell: text for (sheet, cell), text in formulas(data).items() if sheet == "Power budget"}
    for cell, name in (("C5", "C1.1"), ("C6", "C1.2"), ("C7", "C1.10")):
        assert (cell in found) == (said.startswith("Watts") and f"{name}:" not in said)


def test_supply_headroom_share_and_word():
    supplies = (SupplyResult(controller="C1", voltage_v=24.0, power_w=9.5, devices=100),)
    rows = rows_below(
        opened(job_sheets(audit(runs=RUNS, devices=DEVICES, supplies=supplies)))["Power budget"], "Port"
    )
    total = next(row for row in rows if row["Port"] == "Controller C1")
    assert (total["Watts"], total["May draw (W)"]) == (10, 9.5)
    assert total["Headroom (W)"] == pytest.approx(9.5 - 10.24)
    assert total["Used"] == pytest.approx(10.24 / 9.5)
    assert total["Keeps it"] == "over"
    assert total["From the supply (W)"] == pytest.approx(10 + 3 * 0.08)


def total_of(runs, power_w: float):
    supplies = (SupplyResult(controller="C1", voltage_v=24.0, power_w=power_w, devices=100),)
    rows = rows_below(
        opened(job_sheets(audit(runs=runs, devices=DEVICES, supplies=supplies)))["Power budget"], "Port"
    )
    return next(row for row in rows if row["Port"] == "Controller C1")


def test_exactly_at_its_rating_a_supply_is_within():
    alone = (run("1", power_w=5.0, loss_w=0.0, supplied_w=5.0),)
    assert total_of(alone, 5.0)["Keeps it"] == "within"
    assert total_of(alone, 5.0)["Headroom (W)"] == 0
    assert total_of(alone, 4.999)["Keeps it"] == "over"


def test_a_controllers_lowest_volts_are_those_of_its_worst_port():
    runs = (
        run("1", min_voltage_v=22.0, min_voltage_at="A"),
        run("2", min_voltage_v=21.0, min_voltage_at="C"),
        run("10", min_voltage_v=None, min_voltage_at=None),
    )
    total = total_of(runs, 35.0)
    assert (total["Lowest volts"], total["At device"]) == (21.0, "C")


def test_a_sum_over_what_is_not_known_is_blank():
    runs = (run("1", power_w=5.0), run("2", power_w=None, loss_w=None, supplied_w=None))
    total = total_of(runs, 35.0)
    assert [total[name] for name in ("Watts", "Lost in cable (W)", "From the supply (W)", "Used")] == [
        None
    ] * 4
    assert total["May draw (W)"] == 35.0


def test_a_port_with_a_limit_of_its_own_is_over_or_to_review():
    def word(power_w: float, **more: object) -> object:
        limits = LimitsResult(cable_m=None, reach_m=None, devices=None, power_w=60.0)
        rows = rows_below(
            opened(job_sheets(audit(runs=(run("1", power_w=power_w, limits=limits, **more),))))[
                "Power budget"
            ],
            "Port",
        )
        return rows[0]["Keeps it"]

    assert (word(60.0), word(60.1)) == ("within", "over")
    assert word(60.1, derated=None, verdict=Verdict.REVIEW) == "review"
    assert word(60.1, derated=None, verdict=Verdict.FAIL) == "over"


def test_a_supply_that_gives_the_watts_and_not_the_loss_is_over():
    supplies = (SupplyResult(controller="C1", voltage_v=24.0, power_w=10.1, devices=100),)
    data = job_sheets(audit(runs=RUNS, devices=DEVICES, supplies=supplies), live=(live(),))
    total = next(
        row for row in rows_below(opened(data)["Power budget"], "Port") if row["Port"] == "Controller C1"
    )
    assert total["Keeps it"] == "over"
    found = {cell: text for (sheet, cell), text in formulas(data).items() if sheet == "Power budget"}
    assert found["G8"] == '=IF(I8>D8*(1+1E-9),"over","within")'


def test_a_load_of_constant_current_is_not_summed_with_its_loss():
    """12.73 W stated and 0.2 W lost; its supply gives 9 W."""
    runs = (run("1", power_w=12.73, loss_w=0.2, supplied_w=9.0),)
    (row, _) = rows_below(opened(job_sheets(audit(runs=runs)))["Power budget"], "Port")
    assert row["From the supply (W)"] == 9.0


def test_a_supply_that_nobody_states_leaves_headroom_empty():
    rows = rows_below(opened(job_sheets(audit(supplies=())))["Power budget"], "Port")
    assert [row["Headroom (W)"] for row in rows] == [None, None]


def test_subtotals_over_several_controllers_are_what_another_program_computes(tmp_path: Path):
    data = job_sheets(full_audit())
    computed, shown, places = recalculated(data, tmp_path), opened(data), formulas(data)
    assert shown["Power budget"]["A10"].value == "Whole job"
    assert computed["Power budget"]["C10"].value == pytest.approx(32.4)
    for sheet, cell in places:
        assert computed[sheet][cell].value == pytest.approx(shown[sheet][cell].value), (sheet, cell)


def estimators_workbook(data: Written, quantities: dict[int, int]) -> bytes:
    """The added sheets with the device list that they speak of, as a copy holds them together."""
    book = openpyxl.load_workbook(io.BytesIO(as_file(data)))
    sheet = book.create_sheet("Bob's devices")
    for each in DEVICES:
        row = each.where.row
        sheet.cell(row, 2, quantities.get(row))
        sheet.cell(row, 3, each.power_w * 1000 / quantities.get(row, 1))
        sheet.cell(row, PORT_COLUMN, f"{each.controller}.{each.port}")
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.filterwarnings("ignore:.*extension is not supported:UserWarning")
@pytest.mark.parametrize("with_quantity", [True, False])
def test_the_shown_watts_are_what_another_program_computes(tmp_path: Path, with_quantity: bool):
    columns = {"tag": 1, "power_w": 3} | ({"quantity": 2} if with_quantity else {})
    rows = live(
        table=table(TableKind.DEVICES, "Bob's devices", range(5, 9), **columns), power_w_per_unit=0.001
    )
    data = job_sheets(audit(runs=RUNS, devices=DEVICES), live=(rows,))
    computed = recalculated(estimators_workbook(data, {6: 5, 7: 2} if with_quantity else {}), tmp_path)
    shown, places = opened(data), formulas(data)
    assert ("Power budget", "C5") in places
    for sheet, cell in places:
        assert computed[sheet][cell].value == pytest.approx(shown[sheet][cell].value), (sheet, cell)
