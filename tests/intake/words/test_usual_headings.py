"""Headings, units and numbers as offices write them."""

from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Cable, CellRef, Device, Job
from auditor.units import m_from_ft
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, with_lengths, workbook


def first_device(heading: list[str], row: list[Any]) -> Device:
    return read_job(job_workbook([heading, row]), "a.xlsx").devices[0]


def first_cable(heading: list[str], row: list[Any]) -> Cable:
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Cables": [heading, row]}), "a.xlsx")
    return job.cables[row[0]]


def test_a_panel_beside_a_port_is_a_controller() -> None:
    device = first_device(["Tag", "Power (W)", "Panel", "Port"], ["K1", 1, "C1", 2])
    assert (device.controller, device.port) == ("C1", "2")


def test_a_panel_without_a_port_is_not() -> None:
    device = first_device(["Tag", "Qty", "Room", "Power (W)", "Panel"], ["K1", 1, "Hall", 1, "DB-3"])
    assert device.controller is None


@pytest.mark.parametrize("heading", ["Supply V", "Rated V", "Volts", "Supply volts", "Operating voltage"])
def test_a_current_beside_its_voltage(heading: str) -> None:
    device = first_device(["Tag", "mA", heading], ["K1", 50, 24])
    assert (device.power_w, device.at_voltage_v) == (pytest.approx(1.2), 24)


@pytest.mark.parametrize(
    "heading",
    ["W ea.", "W each", "Watts ea", "Power ea (W)", "Wattage", "W/device", "Watts per device", "Watts (ea)"],
)
def test_a_power_of_one(heading: str) -> None:
    assert first_device(["Tag", "Qty", heading], ["K1", 4, 3]).power_w == 3


@pytest.mark.parametrize("heading", ["Total W", "Total watts", "Watts total", "Total power (W)"])
def test_the_total_of_a_row_is_shared_among_its_devices(heading: str) -> None:
    device = first_device(["Tag", "Qty", heading], ["K1", 4, 12])
    assert (device.quantity, device.power_w, device.cells["power_w"]) == (4, 3, CellRef("Devices", 2, 3))


def test_a_power_of_one_stands_above_the_total() -> None:
    assert first_device(["Tag", "Qty", "Total W", "W ea."], ["K1", 4, 12, 3]).power_w == 3


def test_a_total_that_cannot_be_read_is_said() -> None:
    device = first_device(["Tag", "Qty", "Total W"], ["K1", 4, "tbd"])
    assert (device.power_w, [unread.field for unread in device.unread]) == (None, ["power_w"])


def test_a_cable_table_in_short_words() -> None:
    cable = first_cable(
        ["Cable", "AWG", "Cond.", "Strand", "pF/ft", "Volts"], ["16/2", 16, 2, "stranded", 30, 300]
    )
    assert (cable.conductors, cable.stranded, cable.insulation_v) == (2, True, 300)
    assert cable.capacitance_nf_per_m == pytest.approx(30e-3 / m_from_ft(1))


@pytest.mark.parametrize(
    ("heading", "field", "value", "want"),
    [
        ("pF/m", "capacitance_nf_per_m", 100, 0.1),
        ("Cap. pF/m", "capacitance_nf_per_m", 100, 0.1),
        ("Rated V", "insulation_v", 300, 300),
        ("Voltage", "insulation_v", "300 V", 300),
    ],
)
def test_one_property_of_a_cable(heading: str, field: str, value: Any, want: float) -> None:
    assert getattr(first_cable(["Cable", "AWG", heading], ["16/2", 16, value]), field) == pytest.approx(want)


def test_a_name_and_volts_are_a_controller_still() -> None:
    rows = [["Name", "Volts"], ["C1", 24]]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": PULLS, "Parts": rows}), "a.xlsx")
    assert (job.controllers["C1"].supply_voltage_v, "C1" in job.cables) == (24, False)


def test_footage_is_in_feet() -> None:
    assert read_job(with_lengths(100, heading="Footage"), "a.xlsx").pulls[0].length_m == m_from_ft(100)


def with_sentence(*sentences: str) -> Job:
    pulls = [
        *([sentence] for sentence in sentences),
        ["Pull", "From", "To", "Length"],
        ["P1", "C1.1", "K1", 100],
    ]
    return read_job(job_workbook(pulls=pulls), "a.xlsx")


@pytest.mark.parametrize(
    ("sentence", "length_m"),
    [
        ("All lengths in m", 100),
        ("Lengths in feet", m_from_ft(100)),
        ("Length in feet", m_from_ft(100)),  # a heading in other places
        ("Lengths are in feet unless noted", m_from_ft(100)),
        ("All dimensions in metres", 100),
        ("NOTE: ALL LENGTHS IN FT.", m_from_ft(100)),
        ("Alle Längen in m", 100),
        ("All lengths (ft)", m_from_ft(100)),
    ],
)
def test_a_sentence_states_the_unit_of_bare_lengths(sentence: str, length_m: float) -> None:
    assert with_sentence(sentence).pulls[0].length_m == length_m


@pytest.mark.parametrize(
    "sentence", ["Lengths in feet or metres", "Measure all lengths in the ceiling", "All dimensions in mm"]
)
def test_a_sentence_that_states_no_one_unit(sentence: str) -> None:
    assert with_sentence(sentence).pulls[0].length_m is None


def test_two_sentences_that_differ_state_nothing() -> None:
    job = with_sentence("All lengths in m", "All lengths in ft")
    assert job.pulls[0].length_m is None
    assert [(r.level, r.where) for r in job.remarks if r.subject == "length unit"] == [
        ("review", CellRef("Pulls", 2, 1))
    ]


@pytest.mark.parametrize(
    ("text", "length_m"),
    [("12,5 m", 12.5), ("1,1", m_from_ft(1.1)), ("12,25 m", 12.25), ("1,1 ft", m_from_ft(1.1))],
)
def test_one_or_two_digits_after_a_comma_are_decimals(text: str, length_m: float) -> None:
    job = read_job(with_lengths(text), "a.xlsx")
    assert job.pulls[0].length_m == pytest.approx(length_m)
    assert [(r.rule, r.level, r.where) for r in job.remarks] == [
        ("unreadable-value", "review", CellRef("Pulls", 2, 4))
    ]
    assert job.remarks[0].message == (
        f"{text} of 'Length (ft)': the comma is read as the decimal character, as thousands have three digits after "
        "it; write a point if that is right, else correct the number"
    )


@pytest.mark.parametrize(
    ("texts", "heading", "asked"),
    [
        (["1,25", "80"], "Length (m)", [2]),
        (["12.5", "1,25", "80"], "Length (m)", [3]),  # the column writes points
        (["12.5", "1,25", "2,5"], "Length (m)", [3, 4]),
        (["1,25", "1.250,5"], "Length (m)", []),  # the column writes commas
        (["1,25", "2,5"], "Length (m)", []),
        (["1,25", "2,5"], "Length (ft)", [2, 3]),  # feet are written with points
        ([f"{n},5" for n in (7, 2, 6, 1, 5, 3, 4)], "Length (ft)", [1]),  # the whole column is one question
        (["1,25"], "Länge (m)", []),
        (["1.25", "80"], "Length (m)", []),
    ],
)
def test_41_a_short_number_after_a_comma_is_asked_about_unless_its_column_settles_it(
    texts: list[str], heading: str, asked: list[int]
) -> None:
    if heading == "Länge (m)":
        pulls = [["Kabel", "Von", "Nach", heading], ["P1", "C1.1", "K1", texts[0]]]
        job = read_job(workbook({"Kabel": pulls}), "a.xlsx")
    else:
        job = read_job(with_lengths(*texts, heading=heading), "a.xlsx")
    unit_m = m_from_ft(1) if "ft" in heading else 1
    assert [pull.length_m for pull in job.pulls] == [
        pytest.approx(float(text.replace(".", "", text.count(",")).replace(",", ".")) * unit_m)
        for text in texts
    ]
    reviews = [remark for remark in job.remarks if remark.level == "review"]
    assert [(remark.rule, remark.where) for remark in reviews] == [
        ("unreadable-value", CellRef("Pulls", row, 4)) for row in asked
    ]


def test_three_digits_after_a_comma_are_still_asked_about() -> None:
    assert (
        read_job(with_lengths("12,5 m", "1,250 m", heading="Length (m)"), "a.xlsx").pulls[1].length_m is None
    )


def test_a_place_over_floor_and_room() -> None:
    import io

    import xlsxwriter

    held = io.BytesIO()
    with xlsxwriter.Workbook(held) as book:
        sheet = book.add_worksheet("Devices")
        sheet.merge_range("B1:C1", "Location", book.add_format())
        for place, text in (("A2", "Tag"), ("B2", "Floor"), ("C2", "Room"), ("D2", "Power (W)")):
            sheet.write(place, text)
        sheet.write_row(2, 0, ["K1", "2", "Hall", 1])
        pulls = book.add_worksheet("Pulls")
        for number, row in enumerate(PULLS):
            pulls.write_row(number, 0, row)
    assert read_job(held.getvalue(), "a.xlsx").devices[0].room == "Hall"
