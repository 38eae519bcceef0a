"""Values as they stand in real cells: what is read, what is not and the reason given.

The numbers are those of the list of bad inputs that the project keeps.
"""

import datetime
import io
from typing import Any

import pytest
import xlsxwriter

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.packages import changed, replaced
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, with_lengths, workbook

SHEET = "xl/worksheets/sheet2.xml"
FOOT = 0.3048


def first(data: bytes) -> tuple[float | None, str | None]:
    """(length of the first pull [m], why it could not be read)."""
    pull = read_job(data, "job.xlsx").pulls[0]
    reasons = [unread.reason for unread in pull.unread if unread.field == "length_m"]
    return pull.length_m, next(iter(reasons), None)


def reasons(job: Job) -> list[tuple[str, str]]:
    return [(unread.text, unread.reason) for pull in job.pulls for unread in pull.unread]


@pytest.mark.parametrize(
    "xml",
    [
        b'<c r="D2"><f>C2*2</f></c>',
        b'<c r="D2"><f>C2*2</f><v></v></c>',
        b'<c r="D2"><f>C2*2</f><v/></c>',
        b'<c r="D2"><f t="shared" si="0"/></c>',
    ],
)
def test_33_formula_that_was_never_calculated(xml: bytes) -> None:
    length, reason = first(
        changed(with_lengths(120, 80), {SHEET: replaced(b'<c r="D2"><v>120</v></c>', xml)})
    )
    assert length is None
    assert reason == (
        "a formula that was never calculated; open the workbook in a spreadsheet program and save it"
    )


def test_33_calculated_formulas_are_read_and_empty_texts_are_blank() -> None:
    cells = b'<c r="D2"><f>C2*2</f><v>12</v></c>'
    data = changed(with_lengths(120, 80), {SHEET: replaced(b'<c r="D2"><v>120</v></c>', cells)})
    assert first(data) == (pytest.approx(12 * FOOT), None)
    cells = b'<c r="D2" t="str"><f>IF(A1=0,"",1)</f><v></v></c>'
    data = changed(with_lengths(120, 80), {SHEET: replaced(b'<c r="D2"><v>120</v></c>', cells)})
    assert first(data) == (None, None)


@pytest.mark.parametrize("error", ["#REF!", "#N/A", "#DIV/0!"])
def test_34_error_cells_are_quoted(error: str) -> None:
    cell = f'<c r="D2" t="e"><f>X1/0</f><v>{error}</v></c>'.encode()
    data = changed(with_lengths(120, 80), {SHEET: replaced(b'<c r="D2"><v>120</v></c>', cell)})
    assert reasons(read_job(data, "a.xlsx")) == [(error, f"the cell shows {error}; mend its formula")]


def test_35_a_date_is_no_length() -> None:
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Pulls")
        for c, text in enumerate(["From", "To", "Length (ft)"]):
            sheet.write_string(0, c, text)
        sheet.write_row(1, 0, ["C1.1", "SP1"])
        sheet.write_datetime(1, 2, datetime.datetime(2026, 12, 6), book.add_format({"num_format": "d-mmm"}))
    length, reason = first(held.getvalue())
    assert length is None
    assert reason == "a date where a length belongs; format the cell as a number and type it again"


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        (1e308, "implausible: more than 100 km"),
        (9.99e307, "implausible: more than 100 km"),
        (1e-320, "implausible: less than a millimetre"),
        (-120, "a negative length"),
        (0, "zero; a length is more than that"),
        ("NaN", "not a length"),
        ("INF", "not a length"),
        ("-inf", "not a length"),
        ("9**9**9 ft", "not a length"),
        ("1e5 ft", "not a length"),
        (True, "yes/no where a length belongs"),
        ("~120", "not a length"),
        ("100-120", "not a length"),
        ("TBD", "not a length"),
        ("N/A", "not a length"),
        ("?", "not a length"),
        ("-", "not a length"),
        ("120 kg", "'kg' is no unit of a length"),
    ],
)
def test_36_37_38_42_no_length(value: Any, reason: str) -> None:
    assert first(with_lengths(value)) == (None, reason)


def test_39_each_unit_by_itself_and_no_unit_is_not_guessed() -> None:
    job = read_job(with_lengths("120 ft", "36.5 m", '90"', 80, "80 ", heading="Length"), "a.xlsx")
    assert [pull.length_m for pull in job.pulls] == [
        pytest.approx(120 * FOOT),
        36.5,
        pytest.approx(90 * FOOT / 12),
        None,
        None,
    ]
    question = "no unit; write it in the cell or in the heading, e.g. ft or m"
    assert reasons(job) == [("80", question), ("80 ", question)]


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("120'", 120),
        ("12'-6\"", 12.5),
        ("12' 6 1/2\"", 12 + 6.5 / 12),
        ('6"', 0.5),
        ("12 ft 6", 12.5),
        ("12ft. 6in.", 12.5),
        ("12’-6”", 12.5),
        ("12′ 6″", 12.5),
        ("12′ 6½″", 12 + 6.5 / 12),
        ("12'6", 12.5),
        ("1,250 ft", 1250),
        ("1,250.5 ft", 1250.5),
        ("120 feet", 120),
        ("40 yd", 120),
    ],
)
def test_40_feet_and_inches(text: str, feet: float) -> None:
    assert first(with_lengths(text, heading="Length")) == (pytest.approx(feet * FOOT), None)


def test_40_thirty_inches_after_feet_are_said() -> None:
    assert first(with_lengths("12' 30\"")) == (None, "not a length: 30 inches are more than a foot")


@pytest.mark.parametrize(
    ("texts", "metres"),
    [
        (["1.250,5"], [1250.5]),
        (["1 250,5"], [1250.5]),
        (["1'250"], [1250]),
        (["1.250,5", "1.250", "12,5"], [1250.5, 1250, 12.5]),
        (["1,250.5", "1,250", "12.5"], [1250.5, 1250, 12.5]),
        (["41,5", "12,75", "3,25"], [41.5, 12.75, 3.25]),
        (["12.5", "1.250"], [12.5, 1.25]),
        (["1,250,000 mm"], [1250]),
    ],
)
def test_41_separators_that_the_column_shows(texts: list[str], metres: list[float]) -> None:
    job = read_job(with_lengths(*texts, heading="Length (m)"), "a.xlsx")
    assert [pull.length_m for pull in job.pulls] == metres


@pytest.mark.parametrize("text", ["1.250", "1,250"])
def test_41_separators_that_can_mean_two_things(text: str) -> None:
    other = "," if "." in text else "."
    mark = "." if "." in text else ","
    assert first(with_lengths(text, heading="Length (m)")) == (
        None,
        f"{text} can be read with '{mark}' or '{other}' as the decimal character; write it without thousands separators",
    )


def test_41_a_column_in_feet_with_a_continental_number_is_not_guessed() -> None:
    job = read_job(with_lengths("1,250", "1.250,5", "1 250,5", "1'250", "1.250", "1,25"), "a.xlsx")
    assert [pull.length_m for pull in job.pulls] == [
        None,
        pytest.approx(1250.5 * FOOT),
        pytest.approx(1250.5 * FOOT),
        pytest.approx(1250 * FOOT),
        None,
        pytest.approx(1.25 * FOOT),  # thousands have three digits after them
    ]


@pytest.mark.parametrize(
    "text", ["１２０", "120\u00a0", "\u00a0120", "١٢٠", " 120 ", "120\u202fft", "+120", "\u200b120"]
)
def test_42_numbers_as_text(text: str) -> None:
    assert first(with_lengths(text)) == (pytest.approx(120 * FOOT), None)


def test_42_a_minus_sign_of_any_kind_is_negative() -> None:
    assert first(with_lengths("\u2212120")) == (None, "a negative length")


def test_42_blank_is_missing_not_unread() -> None:
    job = read_job(with_lengths("   ", 80), "a.xlsx")
    assert (job.pulls[0].length_m, job.pulls[0].unread) == (None, ())
    assert job.pulls[0].cells["length_m"].a1 == "D2"


@pytest.mark.parametrize(
    ("value", "quantity", "reason"),
    [
        (1.5, 1, "not a whole number; a quantity is 1, 2, 3 ..."),
        ("2 ea", 2, None),
        (True, 1, "yes/no where a quantity belongs"),
        ("10%", 1, "a percentage where a quantity belongs"),
        (-2, 1, "a quantity of -2; it is at least 1"),
        (0, 1, "a quantity of 0; it is at least 1"),
        (3, 3, None),
        ("", 1, None),
    ],
)
def test_43_quantities(value: Any, quantity: int, reason: str | None) -> None:
    devices = [["Tag", "Qty", "Power (W)"], ["K1", value, 1]]
    device = read_job(job_workbook(devices), "a.xlsx").devices[0]
    assert device.quantity == quantity
    assert [unread.reason for unread in device.unread] == ([reason] if reason else [])


def fed(*tags: str) -> bytes:
    """Devices of these tags, the first of them fed."""
    pulls = [["From", "To", "Length (ft)"], ["C1.1", tags[0], 10]]
    return job_workbook([["Tag", "Power (W)"], *([tag, 1] for tag in tags)], pulls)


@pytest.mark.parametrize("text", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "=HYPERLINK(1)", "＝1+1"])
def test_44_a_tag_that_looks_like_a_formula_stays_its_text(text: str) -> None:
    assert read_job(fed(text), "a.xlsx").devices[0].tag == text


@pytest.mark.parametrize("text", ["K1😀", "K\u202e1", "K1\u0301"])
def test_45_odd_characters_are_kept(text: str) -> None:
    assert read_job(fed(text), "a.xlsx").devices[0].tag == text


@pytest.mark.parametrize(
    ("other", "is_said"),
    [
        ("k1o", True),
        ("K-10", True),
        ("K1 0", True),
        ("K1O", True),
        ("Kl0", True),
        ("\u041a10", True),
        ("K100", False),
        ("K11", False),
        ("K010", True),
    ],
)
def test_46_47_tags_that_look_alike(other: str, is_said: bool) -> None:
    job = read_job(fed("K10", other), "a.xlsx")
    said = [(r.level, r.message) for r in job.remarks if r.rule == "double-entry"]
    message = (
        f"{other} is probably the same as K10 in row 2 on 'Devices'; "
        "write both the same way or give them tags that differ clearly"
    )
    assert said == ([("review", message)] if is_said else [])
    assert [device.tag for device in job.devices] == ["K10", other]


def test_46_equal_tags_are_left_to_the_rule() -> None:
    job = read_job(fed("K10", "K10"), "a.xlsx")
    assert [device.tag for device in job.devices] == ["K10", "K10"]
    assert [r for r in job.remarks if r.rule == "double-entry"] == []


def test_47_composed_and_decomposed_accents_are_one_end() -> None:
    devices = [["Tag", "Power (W)"], ["Küche 1", 1]]
    pulls = [["From", "To", "Length (m)"], ["C1.1", "Ku\u0308che 1", 10]]
    job = read_job(job_workbook(devices, pulls), "a.xlsx")
    assert job.pulls[0].far == "Küche 1"


@pytest.mark.parametrize(
    ("heading", "value", "watts", "volts"),
    [
        ("Power (W)", 1.5, 1.5, None),
        ("Watts", "1.5", 1.5, None),
        ("Power", "1500 mW", 1.5, None),
        ("Power", "1.5 VA", 1.5, None),
        ("Current (mA @ 24 V)", 50, 1.2, 24.0),
        ("Current", "50 mA @ 24 V", 1.2, 24.0),
        ("Current (A at 30 VDC)", 0.05, 1.5, 30.0),
    ],
)
def test_power_and_current(heading: str, value: Any, watts: float, volts: float | None) -> None:
    device = read_job(job_workbook([["Tag", heading], ["K1", value]]), "a.xlsx").devices[0]
    assert (device.power_w, device.at_voltage_v) == (pytest.approx(watts), volts)


def test_a_current_takes_its_voltage_from_a_column_a_label_or_the_controllers() -> None:
    by_column = job_workbook([["Tag", "mA", "Voltage (V)"], ["K1", 50, 30]])
    assert read_job(by_column, "a.xlsx").devices[0].power_w == pytest.approx(1.5)
    by_label = job_workbook([["Supply voltage", "", 24], [], ["Tag", "mA"], ["K1", 50]])
    assert read_job(by_label, "a.xlsx").devices[0].power_w == pytest.approx(1.2)
    controllers = [["Controller", "Ports", "Supply voltage (V)"], ["C1", 2, 36], ["C2", 2, 36]]
    data = workbook({"Devices": [["Tag", "mA"], ["K1", 50]], "Pulls": PULLS, "Controllers": controllers})
    assert read_job(data, "a.xlsx").devices[0].power_w == pytest.approx(1.8)


def test_a_current_without_a_voltage_is_taken_at_the_nominal_one_and_said_once() -> None:
    job = read_job(job_workbook([["Tag", "mA"], ["K1", 50], ["K2", 25]]), "a.xlsx")
    assert [device.power_w for device in job.devices] == [pytest.approx(1.2), pytest.approx(0.6)]
    assert [(r.level, r.where and r.where.a1) for r in job.remarks if "24 V" in r.message] == [("note", "B1")]


CABLES = ["Cable", "Gauge", "Conductors", "Stranding", "Shield", "Capacitance (pF/ft)", "Insulation (V)"]


@pytest.mark.parametrize(
    ("gauge", "area", "text", "conductors"),
    [
        ("16 AWG", None, "16 AWG", None),
        ("AWG 16", None, "16 AWG", None),
        ("16/2", None, "16 AWG", 2),
        ("16-2C", None, "16 AWG", 2),
        ("2x1.5", 1.5, "1.5 mm²", 2),
        ("2 x 1,5 mm²", 1.5, "1.5 mm²", 2),
        ("1.5 mm2", 1.5, "1.5 mm²", None),
        ("1.5 sq mm", 1.5, "1.5 mm²", None),
        ("0.8 mm", 0.5026548, "0.8 mm", None),
    ],
)
def test_conductor_sizes(gauge: str, area: float | None, text: str, conductors: int | None) -> None:
    data = workbook({"Devices": DEVICES, "Pulls": PULLS, "Cables": [CABLES, ["16/2", gauge]]})
    cable = read_job(data, "a.xlsx").cables["16/2"]
    assert (cable.area_mm2, cable.gauge, cable.conductors) == (area and pytest.approx(area), text, conductors)


def test_cable_properties() -> None:
    row = ["16/2", "16 AWG", 2, "stranded", "unshielded", 25, "600 V"]
    data = workbook({"Devices": DEVICES, "Pulls": PULLS, "Cables": [CABLES, row]})
    cable = read_job(data, "a.xlsx").cables["16/2"]
    assert (cable.stranded, cable.shielded, cable.insulation_v) == (True, False, 600.0)
    assert cable.capacitance_nf_per_m == pytest.approx(25 * 0.001 / FOOT)


def test_a_date_for_a_tag_is_said() -> None:
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Pulls")
        for number, row in enumerate([*PULLS, ["P4", "", "SP1", 10, "16/2"]]):
            sheet.write_row(number, 0, row)
        sheet.write_datetime(4, 1, datetime.datetime(2026, 2, 1), book.add_format({"num_format": "d-m"}))
    pull = read_job(held.getvalue(), "job.xlsx").pulls[-1]
    assert pull.near == "2026-02-01"
    assert [(u.field, u.reason) for u in pull.unread] == [
        ("near", "a date where a name belongs; format the cell as text and type it again")
    ]


@pytest.mark.parametrize("column", [1, 2, 3])
@pytest.mark.parametrize(
    "text", [" " * 32_000 + "x", "1 " * 16_000, "- " * 16_000, "(" * 32_000, "1/" * 16_000, "> " * 16_000]
)
def test_a_cell_of_the_greatest_length_is_read_at_once(text: str, column: int) -> None:
    pulls = [*PULLS, ["P4", "K2", "SP1", 10, "16/2"]]
    pulls[4][column] = text
    job = read_job(job_workbook(pulls=pulls), "a.xlsx")
    assert (job.rows_read, len(job.pulls)) == (7, 4)
    assert all(len(unread.text) <= 201 for pull in job.pulls for unread in pull.unread)


def test_volt_amperes_are_said() -> None:
    job = read_job(job_workbook([["Tag", "Load (VA)"], ["K1", 2]]), "a.xlsx")
    assert job.devices[0].power_w == 2.0
    assert "the VA in 'Load (VA)' are taken as W; the active power is at most that" in [
        r.message for r in job.remarks
    ]
