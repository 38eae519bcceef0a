"""A workbook whose table may be a schedule comes back as a review with its question; one without is unreadable."""

import json
from pathlib import Path

import jsonschema
import openpyxl

from auditor.resources import shipped
from tests.batch.runs import contents, results, run
from tests.intake.workbooks import workbook

MAY_BE = [["Venp", "Tamf", "Drus"], ["C1.1", "K1", "Hall"], ["C1.2", "K2", "Bar"], ["C2.1", "T3", "Gym"]]
BUDGET = [["Item", "Price"], ["Paint", 20], ["Brush", 4], ["Tape", 3]]
COMBINED = [
    ["Tag", "Fed from", "Cable (ft)", "Route (ft)"],
    ["K1", "C1.1", 1266, 810],
    ["K2", "C1.2", 10, 12],
]


def test_a_table_that_may_be_a_schedule_comes_back_with_its_question(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    (source / "odd.xlsx").write_bytes(workbook({"Sheet one": MAY_BE, "Budget": BUDGET}))
    before = contents(source)
    done = run("check", source, "--out", out)
    assert (done.returncode, done.stderr) == (0, "")
    (result,) = results(out)
    assert (result["verdict"], result["problem"], result["runs"]) == ("review", None, [])
    (asked,) = result["questions"]
    assert (asked["sheet"], asked["cell"]) == ("Sheet one", "A1")
    answers = [choice["answer"] for choice in asked["choices"]]
    assert (answers[0], answers[-1]) == (
        "'Sheet one': from 'Venp' in A (C1.1), to 'Tamf' in B (K1)",
        "none of them",
    )
    jsonschema.validate(result, json.loads(shipped("schemas", "result.schema.json").read_text("utf-8")))
    assert done.stdout.count(asked["sentence"]) == 1
    assert "            asks this: answer on the sheet «Questions» of its copy\n" in done.stdout
    assert "1 job: 1 review." in done.stdout
    copy = openpyxl.load_workbook(out / "odd.audited.xlsx")
    assert copy.sheetnames == ["Sheet one", "Budget", "Questions"]
    assert [[cell.value for cell in row] for row in copy["Sheet one"].iter_rows()] == MAY_BE
    assert contents(source) == before
    again = run("check", out / "odd.audited.xlsx", "--out", tmp_path / "again")
    assert again.returncode == 0
    assert results(tmp_path / "again")[0]["questions"] == result["questions"]


def test_a_workbook_without_such_a_table_is_unreadable(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    (source / "budget.xlsx").write_bytes(workbook({"Budget": BUDGET}))
    assert run("check", source, "--out", out).returncode == 3
    (result,) = results(out)
    assert (result["verdict"], result["questions"]) == ("unreadable", [])
    assert result["problem"].startswith("budget.xlsx: no pull schedule found")
    assert not list(out.glob("*.audited.xlsx"))


def test_both_readings_are_told_in_the_results(tmp_path: Path) -> None:
    pulls = [
        ["Pull", "From", "To", "Length A (ft)", "Length B (ft)"],
        ["P1", "C1.1", "K1", 1266, 810],
        ["P2", "C1.2", "K2", 20, 25],
    ]
    devices = [["Tag", "Power (W)"], ["K1", 1], ["K2", 1]]
    (tmp_path / "a.xlsx").write_bytes(workbook({"Pulls": pulls, "Devices": devices}))
    assert run("check", tmp_path / "a.xlsx", "--out", tmp_path / "out").returncode == 0
    (result,) = results(tmp_path / "out")
    (asked,) = result["questions"]
    assert [choice["leads_to"] for choice in asked["choices"]] == [
        "'Length A (ft)' in column D is read as the length of a pull: C1.1 holds 1,266 ft of cable and fails",
        "'Length B (ft)' in column E is read as the length of a pull: C1.1 holds 810 ft of cable and is to review",
    ]
    assert [finding["level"] for finding in result["findings"] if finding["question"] == asked["id"]] == [
        "review"
    ]
