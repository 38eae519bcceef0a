"""headings.json: an office's own headings beside the shipped ones."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from auditor import batch
from auditor.errors import LayoutError
from auditor.intake import OwnHeadings, explain, merged, read_headings, read_job
from auditor.intake.words import SHIPPED, candidates, known_headings, own_kinds
from auditor.resources import shipped
from tests.batch.runs import results, run

from .workbooks import DEVICES, job_workbook, workbook

SCHEMA = json.loads(shipped("schemas", "headings.schema.json").read_text("utf-8"))
OWN: dict[str, Any] = {"pulls": {"from": ["Whence"], "far": ["Whither"], "length": ["How far"]}}
ODD = workbook({"Devices": DEVICES, "X": [["Whence", "Whither", "How far (ft)"], ["C1.1", "K1", 120]]})


def own(record: object) -> OwnHeadings:
    return read_headings(json.dumps(record), "Jobs/headings.json")


def test_headings_of_an_office_are_read_and_said() -> None:
    job = read_job(ODD, "a.xlsx", headings=own(OWN))
    assert [(pull.near, pull.far, round(pull.length_m or 0, 2)) for pull in job.pulls] == [
        ("C1.1", "K1", 36.58)
    ]
    assert (
        "read as headings.json says: 'Whence' as the from, 'Whither' as the to, 'How far (ft)' as the length"
        in [remark.message for remark in job.remarks]
    )
    (_, table) = explain(ODD, "a.xlsx", headings=own(OWN)).tables
    assert [column.reason for column in table.columns] == [
        "heading 'Whence' of headings.json",
        "heading 'Whither' of headings.json",
        "heading 'How far (ft)' of headings.json",
    ]


def test_they_count_before_the_shipped_ones_and_only_while_they_are_known() -> None:
    before = candidates("pulls", "Run")
    with known_headings(own({"pulls": {"id": ["Run"], "chain": ["Tour"]}})):
        assert candidates("pulls", "Run") == (("id", "own"),)
        assert candidates("pulls", "Tour") == (("chain", "own"),)
        assert candidates("pulls", "From") == (("near", "en"),)
    assert candidates("pulls", "Run") == before
    assert candidates("pulls", "Tour") == ()


def test_the_nearest_of_two_files_counts() -> None:
    both = merged([own({"pulls": {"near": ["Spot"]}}), own({"pulls": {"far": ["SPOT", "Goal"]}})])
    with known_headings(both):
        assert candidates("pulls", "spot") == (("near", "own"),)
        assert candidates("pulls", "goal") == (("far", "own"),)
    assert merged([]) == SHIPPED


@pytest.mark.parametrize("comma", [True, False])
def test_whether_an_office_writes_decimal_commas(comma: bool) -> None:
    headings = {"decimal_comma": comma, "pulls": {"from": ["Van"], "to": ["Naar"], "length": ["Lengte"]}}
    rows = [["Van", "Naar", "Lengte (m)"], ["C1.1", "K1", "0,75"]]
    job = read_job(workbook({"Kabels": rows}), "a.xlsx", headings=own(headings))
    assert [pull.length_m for pull in job.pulls] == [0.75]
    assert [remark.level for remark in job.remarks if "comma" in remark.message] == [
        "note" if comma else "review"
    ]


def test_an_office_that_writes_decimal_commas_settles_what_a_point_is() -> None:
    headings = {"decimal_comma": True, "pulls": {"from": ["Van"], "to": ["Naar"], "length": ["Lengte"]}}

    def lengths_m(*texts: str) -> list[float | None]:
        rows = [["Van", "Naar", "Lengte (m)"], *(["C1.1", f"K{i}", text] for i, text in enumerate(texts))]
        job = read_job(workbook({"Kabels": rows}), "a.xlsx", headings=own(headings))
        return [pull.length_m for pull in job.pulls]

    assert lengths_m("41,5", "1.041") == [41.5, 1041]
    assert lengths_m("1.041", "1,041") == [1041, 1.041]
    assert lengths_m("41.5", "1.041") == [41.5, None]  # its own numbers say otherwise


@pytest.mark.parametrize(
    ("record", "said"),
    [
        ([1], 'wanted tables with their fields and headings, e.g. {"pulls": {"from": ["Whence"], "to": ["Whither"]}}'),
        (
            {"cable": {}},
            "no table 'cable'; known are pulls, devices, combined, cables, controllers, reels, legend, splices, labels, and decimal_comma",
        ),
        ({"pulls": ["Whence"]}, 'pulls: wanted fields with their headings, e.g. {"pulls": {"from": ["Whence"], "to": ["Whither"]}}'),
        (
            {"reels": {"lenght": ["x"]}},
            "reels: no field 'lenght'; known are cable type, drum, length, note, on shelf, price, stock length, unit",
        ),
        ({"pulls": {"from": "Whence"}}, 'pulls, from: wanted a list of headings such as ["Whence"]'),
        ({"pulls": {"from": [7]}}, "pulls, from: 7 is no heading; wanted a text of 1 to 60 characters"),
        ({"pulls": {"from": ["..."]}}, 'pulls, from: "..." is no heading; wanted a text of 1 to 60 characters'),
        (
            {"pulls": {"from": ["End"], "to": ["END"]}},
            "pulls: 'END' is listed for from and for to; one heading to one field",
        ),
        ({"decimal_comma": "yes"}, 'decimal_comma: wanted true or false, not "yes"'),
    ],
)  # fmt: skip
def test_what_is_not_right_is_named_with_what_would_be(record: object, said: str) -> None:
    with pytest.raises(LayoutError) as told:
        own(record)
    assert str(told.value) == f"Jobs/headings.json: {said}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the file is empty"),
        ("{", "the text ends too early, in line 1; a closing bracket or a value is missing there"),
        ('{"pulls": {"from" ["Whence"]}}', "line 1, character 19: a colon is wanted here"),
        ("[" * 100_000, "the text is not as JSON is written, or is nested too deeply"),
    ],
)
def test_what_is_no_json_is_one_sentence(text: str, said: str) -> None:
    with pytest.raises(LayoutError) as told:
        read_headings(text, "headings.json")
    assert str(told.value).startswith(f"headings.json: {said}; wanted e.g. {{")


def test_the_schema_allows_what_the_reader_allows() -> None:
    validator = jsonschema.Draft202012Validator(SCHEMA)
    assert set(SCHEMA["properties"]) - {"decimal_comma"} == set(own_kinds())
    for kind, fields in own_kinds().items():
        record = {kind: {field: [f"Word {number}"] for number, field in enumerate(fields)}}
        assert len(own(record).spellings) == len(fields)
        validator.validate(record)
    validator.validate({"decimal_comma": True, **OWN})


def test_a_folder_and_those_above_it_through_the_workers(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    for folder in ("", "own", "own/deep", "wrong"):
        (source / folder).mkdir(exist_ok=True)
        (source / folder / "odd.xlsx").write_bytes(ODD)
    (source / "wrong" / "plain.xlsx").write_bytes(job_workbook())
    (source / "own" / "headings.json").write_text(json.dumps(OWN), "utf-8-sig")
    (source / "wrong" / "headings.json").write_text('{"pulls": {"form": ["Whence"]}}', "utf-8")
    done = run("check", source, "--out", out)
    assert (done.returncode, done.stderr) == (3, "")
    problems = {each["file"]: each["problem"] for each in results(out)}
    assert problems.pop("own/odd.xlsx") is None
    assert problems.pop("own/deep/odd.xlsx") is None
    wrong = "wrong/headings.json: pulls: no field 'form'; known are "
    assert problems["wrong/odd.xlsx"].startswith("odd.xlsx: no pull schedule found")
    assert wrong in problems.pop("wrong/odd.xlsx")
    assert problems.pop("wrong/plain.xlsx") is None
    plain = next(each for each in results(out) if each["file"] == "wrong/plain.xlsx")
    said = plain["findings"][-1]
    assert (plain["verdict"], said["rule"], said["level"]) == ("review", "unreadable-value", "review")
    assert said["message"].startswith(wrong)
    assert said["message"].endswith(". The workbook was read without this file of headings")
    assert problems.pop("odd.xlsx").startswith("odd.xlsx: no pull schedule found")
    shown = run("layout", source / "own" / "deep" / "odd.xlsx")
    assert "heading 'Whence' of headings.json" in shown.stdout
    assert not problems
    audits = batch.audits_only([source / "own"], batch.Options(workers=1), lambda *_: None)
    assert [audit.problem for audit in audits] == [None, None]


@pytest.mark.parametrize(
    ("head", "read", "left", "cell"),
    [
        (["From", "To", "Length (ft)", "Remarks"], "From", "Remarks", "D1"),
        (["Remarks", "To", "Length (ft)", "From"], "Remarks", "From", "D1"),
    ],
)
def test_a_field_that_two_columns_claim_is_asked_about(
    head: list[str], read: str, left: str, cell: str
) -> None:
    data = job_workbook(pulls=[head, ["C1.1", "K1", 120, "C1.2"]])
    asked = [
        (r.where and r.where.a1, r.message)
        for r in read_job(data, "a.xlsx", headings=own({"pulls": {"from": ["Remarks"]}})).remarks
        if r.level == "review"
    ]
    assert asked == [
        (
            cell,
            f"{read!r} and {left!r} both stand for the from, 'Remarks' by headings.json: {read!r} is read, {left!r} is not; "
            "correct headings.json or say in a layout which column it is",
        )
    ]
    assert [r for r in read_job(data, "a.xlsx").remarks if r.level == "review"] == []
