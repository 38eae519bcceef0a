"""The starter workbook, filled in as a newcomer would, audits without any mapping."""

import io
import json
from collections.abc import Sequence
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from auditor.audit import audit
from auditor.intake import read_job
from auditor.profile.load import load_profile
from auditor.report.blank import HEADER_ROW, languages, units, write_blank
from auditor.resources import shipped
from auditor.results.audit_result import Audit, PullResult, RunResult
from auditor.results.findings import Verdict
from tests.annotate.repair import faults

Filled = dict[str, list[dict[str, object]]]

FEET: Filled = {
    "Devices": [
        {"Tag": "KP-1", "Room": "Hall", "Qty": 1, "Watts each (W)": 0.6, "Min voltage (V)": 18},
        {"Tag": "TH-1", "Room": "Hall", "Watts each (W)": 0.8},
    ],
    "Pulls": [
        {
            "Pull": "P-1",
            "From": "C1.1",
            "To": "KP-1",
            "Length (ft)": 100,
            "Cable type": "B16",
            "Status": "landed",
        },
        {"Pull": "P-2", "From": "KP-1", "To": "Splice S1", "Length (ft)": 50, "Cable type": "B16"},
        {"Pull": "P-3", "From": "Splice S1", "To": "TH-1", "Length (ft)": 20, "Cable type": "B16"},
        {
            "Pull": "P-4",
            "From": "TH-1",
            "To": "C1.1",
            "Length (ft)": 170,
            "Cable type": "B16",
            "Status": "spare return",
        },
    ],
    "Cable types": [
        {
            "Cable type": "B16",
            "Conductor size (AWG)": 16,
            "Conductors": 2,
            "Stranding": "stranded",
            "Shield": "unshielded",
            "Capacitance (pF/ft)": 27,
            "Insulation (V)": 600,
        }
    ],
    "Controllers": [
        {
            "Controller": "C1",
            "Head end": "Cupboard",
            "Supply voltage (V)": 24,
            "Supply power (W)": 35,
            "Ports": 2,
        }
    ],
}
METRES_PER_FOOT = 0.3048  # NIST SP 811, appendix B
METRIC_VALUE = {
    "Length (ft)": lambda feet: feet * METRES_PER_FOOT,
    "Conductor size (AWG)": lambda _: 1.5,
    "Capacitance (pF/ft)": lambda per_foot: per_foot / METRES_PER_FOOT,
    "Distance to parallel mains (in)": lambda inches: inches * 25.4,  # NIST SP 811, appendix B
}
SPLICE = {"en": "Splice S1", "de": "Klemmdose S1", "fr": "Épissure S1", "es": "Empalme S1"}
COVER = ("Gull House", "J-7", "Tern & Co", "A. Wren", "B. Coot", "2026-03-04", "B")
STARTERS = [(language, unit) for language in languages() for unit in units(language)]
FULL_ROW = {
    "Distance to parallel mains (in)": 12,
    "Crossing angle (deg)": 90,
    "Alongside loudspeaker cable": "no",
}
FULL = FEET | {
    "Devices": [row | {"Description": "Keypad", "Notes": "by the door"} for row in FEET["Devices"]],
    "Pulls": [row | FULL_ROW | {"Notes": "above the ceiling"} for row in FEET["Pulls"]],
    "Cable types": [FEET["Cable types"][0] | {"Fire rating": "riser", "Notes": "grey"}],
    "Controllers": [FEET["Controllers"][0] | {"Notes": "behind the door"}],
}


def template(language: str) -> dict[str, Any]:
    return json.loads(shipped("templates", f"blank.{language}.json").read_text("utf-8"))


def as_read_by(language: str, unit: str, filled: Filled) -> Filled:
    """The rows of the starter in English and feet as they are typed into another."""
    english, other = template("en"), template(language)
    rows = {}
    for sheet, own in zip(english["sheets"], other["sheets"], strict=True):
        columns = {
            column["header"].format_map(english["units"]["ft"]): (column, theirs)
            for column, theirs in zip(sheet["columns"], own["columns"], strict=True)
        }
        rows[own["name"]] = [
            {
                columns[title][1]["header"].format_map(other["units"][unit]): typed(
                    title, value, *columns[title], language, unit
                )
                for title, value in row.items()
            }
            for row in filled.get(sheet["name"], [])
        ]
    return rows


def typed(
    title: str, value: object, column: dict[str, Any], theirs: dict[str, Any], language: str, unit: str
) -> object:
    if "list" in column:
        return theirs["list"][column["list"].index(value)]
    if value == SPLICE["en"]:
        return SPLICE[language]
    return METRIC_VALUE[title](value) if unit == "m" and title in METRIC_VALUE else value


def audited(
    filled: Filled,
    unit: str = "ft",
    profile: str | None = None,
    language: str = "en",
    cover: Sequence[str] = (),
) -> Audit:
    workbook = openpyxl.load_workbook(io.BytesIO(write_blank(unit, language)))
    for name, rows in as_read_by(language, unit, filled).items():
        fill(workbook[name], rows)
    how_to = template(language)["how_to"]
    labels = dict(zip(how_to["job"], cover, strict=False)) | ({how_to["profile"]: profile} if profile else {})
    for row in workbook.worksheets[0].iter_rows():
        if row[0].value in labels:
            row[1].value = labels[row[0].value]
    held = io.BytesIO()
    workbook.save(held)
    job = read_job(held.getvalue(), "filled.xlsx")
    return audit(job, load_profile(job.profile_name or "two-wire-35w"))


def fill(sheet: Worksheet, rows: list[dict[str, object]]) -> None:
    header = HEADER_ROW + 1
    columns = {cell.value: cell.column for cell in sheet[header]}
    for offset, row in enumerate(rows, start=1):
        for title, value in row.items():
            sheet.cell(header + offset, columns[title], value)


def test_filled_in_feet_it_passes_with_every_value_read() -> None:
    result = audited(FEET)
    assert result.verdict is Verdict.PASS, result.findings
    (run,) = (run for run in result.runs if run.devices)
    assert run.name == "C1.1"
    assert run.power_w == pytest.approx(1.4)
    assert run.cable_m == pytest.approx(170 * METRES_PER_FOOT)
    assert run.reach_m == pytest.approx(170 * METRES_PER_FOOT)
    assert run.derated is False
    assert [pull.id for pull in result.pulls if not pull.landed] == ["P-4"]


def test_feet_and_metres_give_the_same_run() -> None:
    feet, metres = audited(FEET), audited(FEET, unit="m")
    assert metres.verdict is feet.verdict
    assert metres.length_unit == "m"
    assert [run.cable_m for run in metres.runs] == pytest.approx([run.cable_m for run in feet.runs])
    assert [run.capacitance_nf for run in metres.runs] == pytest.approx(
        [run.capacitance_nf for run in feet.runs]
    )


@pytest.mark.parametrize(
    ("title", "value"),
    [
        ("Distance to parallel mains (in)", 4),
        ("Crossing angle (deg)", 45),
        ("Alongside loudspeaker cable", "yes"),
    ],
)
def test_the_separation_columns_are_understood(title: str, value: object) -> None:
    kept = FEET | {"Pulls": [row | FULL_ROW for row in FEET["Pulls"]]}
    assert audited(kept).verdict is Verdict.PASS
    broken = FEET | {"Pulls": [row | FULL_ROW | {title: value} for row in FEET["Pulls"]]}
    for language in languages():
        found = audited(broken, language=language).findings
        assert {finding.rule for finding in found if finding.level == "fail"} == {"separation"}


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("lines", range(len(COVER) + 1))
def test_the_profile_cell_is_understood_whatever_else_is_filled_in(language: str, lines: int) -> None:
    result = audited(FEET, "m", profile="two-wire-120w", language=language, cover=COVER[:lines])
    assert result.profile == "two-wire-120w"
    assert result.job == (COVER[0] if lines else "filled")


def test_the_profile_cell_is_understood_below_a_revision_alone() -> None:
    """The rows from there on look like a table, since the instructions stand below them."""
    assert audited(FEET, profile="two-wire-120w", cover=("",) * 6 + ("B",)).profile == "two-wire-120w"


@pytest.mark.parametrize(("language", "unit"), STARTERS)
def test_every_starter_is_read_without_a_question_or_a_note_and_gives_the_same(
    language: str, unit: str
) -> None:
    result, english = audited(FULL, unit, language=language, cover=COVER), audited(FULL, cover=COVER)
    assert result.verdict is english.verdict is Verdict.PASS
    assert result.questions == ()
    assert not {each.rule for each in result.findings} & {"reading", "file", "unreadable-value"}
    assert [each.text for each in result.statements] == [
        "job number J-7, drawn by A. Wren, checked by B. Coot, dated 2026-03-04, revision B",
        "the job is Gull House",
    ]
    assert (result.length_unit, len(result.tables)) == (unit, 4)
    assert [laid(pull, SPLICE[language]) for pull in result.pulls] == [
        laid(pull, SPLICE["en"]) for pull in english.pulls
    ]
    assert [figures(run) for run in result.runs] == [pytest.approx(figures(run)) for run in english.runs]
    assert result.supplies == english.supplies


def laid(pull: PullResult, splice: str) -> tuple[object, ...]:
    near, far = ("the splice" if end == splice else end for end in (pull.near, pull.far))
    return (pull.id, near, far, pull.landed, round(pull.length_m or 0, 6))


def figures(run: RunResult) -> tuple[float | None, ...]:
    """What does not hang on the conductor: a gauge is no round number of mm²."""
    return (run.cable_m, run.reach_m, float(run.devices), run.power_w, run.capacitance_nf)


@pytest.mark.parametrize(("language", "unit"), STARTERS)
def test_every_heading_is_read_as_what_it_is(language: str, unit: str) -> None:
    tables, english = audited(FULL, unit, language=language).tables, audited(FULL).tables
    assert [(table.kind, table.columns) for table in tables] == [
        (table.kind, table.columns) for table in english
    ]
    assert [len(table.columns) for table in tables] == [
        len(sheet["columns"]) for sheet in template(language)["sheets"]
    ]


@pytest.mark.parametrize(("language", "unit"), STARTERS)
def test_a_fault_in_any_starter_is_found(language: str, unit: str) -> None:
    far = FULL | {"Pulls": [FULL["Pulls"][0] | {"Length (ft)": 1001}, *FULL["Pulls"][1:]]}
    fails = [each for each in audited(far, unit, language=language).findings if each.level == "fail"]
    assert {(each.rule, each.subject) for each in fails} == {("reach", "KP-1"), ("reach", "TH-1")}


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("choice", [0, 1])
def test_every_word_of_a_list_is_understood(language: str, choice: int) -> None:
    """The first word of each list is that of a plain cable, the second one tells a cable apart."""
    words = {"Stranding": ["stranded", "solid"], "Shield": ["unshielded", "shielded"]}
    cables = [FULL["Cable types"][0] | {title: both[choice] for title, both in words.items()}]
    job = FULL | {"Cable types": cables}
    result, english = audited(job, language=language), audited(job)
    assert {each.message for each in result.findings if each.rule == "cable-spec"} == {
        each.message for each in english.findings if each.rule == "cable-spec"
    }
    assert result.verdict is english.verdict is (Verdict.REVIEW if choice else Verdict.PASS)


def test_all_languages_have_the_same_shape() -> None:
    shapes = [shape(template(language)) for language in languages()]
    assert all(each == shapes[0] for each in shapes)


def shape(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: shape(each) for key, each in value.items()}
    return [shape(each) for each in value] if isinstance(value, list) else type(value)


@pytest.mark.parametrize("unit", ["ft", "m"])
def test_lists_help_frozen_heading_and_print_set_up_are_there(unit: str) -> None:
    workbook = openpyxl.load_workbook(io.BytesIO(write_blank(unit)))
    pulls = workbook["Pulls"]
    lists = {
        rule.promptTitle: rule.formula1
        for rule in pulls.data_validations.dataValidation
        if rule.type == "list"
    }
    assert lists["Status"] == '"landed,spare return"'
    assert lists["Alongside loudspeaker cable"] == '"yes,no"'
    assert lists["Cable type"].startswith("'Cable types'!$A$5:")
    for sheet in workbook.worksheets[1:]:
        assert sheet.freeze_panes == "B5"
        assert sheet.print_title_rows == "$4:$4"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.page_setup.fitToHeight == 0
        headings = [cell.value for cell in sheet[HEADER_ROW + 1]]
        assert len(sheet.data_validations.dataValidation) == len(headings)


def test_the_same_unit_gives_the_same_bytes() -> None:
    assert write_blank() == write_blank()
    assert len({write_blank(unit, language) for language, unit in STARTERS}) == len(STARTERS)


@pytest.mark.parametrize(("language", "unit"), STARTERS)
def test_no_program_offers_to_repair_it(language: str, unit: str) -> None:
    assert faults(write_blank(unit, language)) == []
