"""One job and one profile in, one audit out: pure, whole, and a record under its schema."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from auditor.audit import audit
from auditor.bus.measure import Bus
from auditor.intake import read_job
from auditor.job.model import CellRef, Controller, Job, Remark
from auditor.plans.plans import Plans
from auditor.profile.load import DEFAULT, load_profile
from auditor.resources import shipped
from auditor.results.audit_result import (
    Audit,
    ChoiceResult,
    ControllersResult,
    Cut,
    CutListResult,
    CutReel,
    Move,
    PortPlanResult,
    QuestionResult,
    ReelOffer,
    Status,
)
from auditor.results.findings import Finding, Level, Verdict, worst_verdict
from auditor.results.job_summary import job_summary
from auditor.results.record import record
from auditor.rules import RULES
from tests.builders import SPEC, device, job, profile, pull, reaudit

SCHEMA = json.loads(shipped("schemas", "result.schema.json").read_text("utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
SAMPLES = sorted((Path(__file__).parent.parent / "sample_workbooks").rglob("*.xlsx"))

GOOD = job([pull("C1.1", "K1", 100), pull("K1", "K2", 50)])
BAD = job(
    [
        pull("C1.1", "K1", 900),
        pull("K1", "K2", 150, mains_parallel_m=0.1),
        pull("K2", "K1", 10, id="R1"),
        pull("K2", "C1.1", 20, id="S1", landed=False),
        pull("PANEL", "K3", 2500, cable="OTHER"),
        pull("", "K4", None),
    ],
    [device("K1", 30.0), device("K2", None, quantity=3), device("K3"), device("K4"), device("K4")],
    head_ends=["PANEL"],
    controllers=[Controller(name="C1", where=CellRef("Controllers", 2, 1))],
)


def plain(result: Audit) -> dict[str, Any]:
    """The record as another tool reads it: through strict JSON text."""
    data = json.loads(json.dumps(record(result), allow_nan=False))
    assert isinstance(data, dict)
    return data


# --- pure ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("a_job", [GOOD, BAD, job([])], ids=["good", "bad", "empty"])
def test_the_same_input_gives_the_same_audit(a_job: Job) -> None:
    assert audit(a_job, profile()) == audit(a_job, profile())
    assert record(audit(a_job, profile())) == record(audit(a_job, profile()))


def test_the_order_of_rows_changes_no_verdict_and_no_figure() -> None:
    turned = replace(GOOD, pulls=GOOD.pulls[::-1], devices=GOOD.devices[::-1])
    one, other = audit(GOOD, profile()), audit(turned, profile())
    assert one.runs == other.runs
    assert sorted(one.devices, key=lambda d: d.tag) == sorted(other.devices, key=lambda d: d.tag)


def test_feet_and_metres_give_one_audit() -> None:
    in_metres = replace(GOOD, length_unit="m")
    as_it_is = {"cutting__round_up": {"ft": "0 ft", "m": "0 m"}}  # whole feet are no half metres
    one, other = audit(GOOD, profile(**as_it_is)), audit(in_metres, profile(length_unit="m", **as_it_is))
    in_feet = [replace(cuts, spec="", length_unit="m") for cuts in one.cut_lists]
    assert in_feet == [replace(cuts, spec="") for cuts in other.cut_lists]
    assert replace(one, length_unit="m", cut_lists=()) == replace(other, cut_lists=())


# --- verdicts -----------------------------------------------------------------------------------------


def test_a_sound_job_passes_with_its_figures() -> None:
    result = audit(GOOD, profile())
    assert result.verdict is Verdict.PASS
    assert job_summary(result).worst() is None
    (run,) = result.runs
    assert (run.name, run.verdict, run.devices, run.farthest) == ("C1.1", Verdict.PASS, 2, "K2")
    assert [(d.tag, d.verdict, d.why) for d in result.devices] == [("K1", "pass", ""), ("K2", "pass", "")]
    assert [(p.id, p.controller, p.port) for p in result.pulls] == [
        ("C1.1-K1", "C1", "1"),
        ("K1-K2", "C1", "1"),
    ]


def test_a_faulty_job_fails_with_its_worst_first() -> None:
    result = audit(BAD, profile())
    assert result.verdict is Verdict.FAIL
    levels = [finding.level.severity for finding in result.findings]
    assert levels == sorted(levels, reverse=True)
    assert job_summary(result).worst() == result.findings[0]
    rules = {finding.rule for finding in result.findings}
    assert {
        "reach",
        "loop",
        "unfed",
        "separation",
        "missing-value",
        "double-entry",
        "spare-return",
        "cable-spec",
        "cut-list",
        "voltage",
    } <= rules


def test_every_row_stands_in_the_audit_in_its_order() -> None:
    result = audit(BAD, profile())
    assert [(item.tag, item.where) for item in result.devices] == [(d.tag, d.where) for d in BAD.devices]
    assert [(item.id, item.near, item.far) for item in result.pulls] == [
        (p.id, p.near, p.far) for p in BAD.pulls
    ]
    assert all(item.why for item in result.devices if item.verdict is not Verdict.PASS)


def test_the_pulls_of_a_branch_without_a_port_know_its_first_pull() -> None:
    result = audit(
        job(
            [
                pull("PANEL", "K1", 100, id="A"),
                pull("K1", "K2", 50, id="B"),
                pull("K2", "PANEL", 50, id="C", landed=False),
                pull("C1.1", "K3", 20, id="D"),
            ],
            head_ends=["PANEL"],
        ),
        profile(),
    )
    assert [(each.id, each.branch) for each in result.pulls] == [
        ("A", "A"),
        ("B", "A"),
        ("C", None),
        ("D", None),
    ]


def test_an_empty_job_passes_and_says_nothing() -> None:
    result = audit(job([]), profile())
    assert (result.verdict, result.findings, result.runs) == (Verdict.PASS, (), ())


def test_the_worst_is_the_first_of_the_highest_level_and_never_a_note() -> None:
    def finding(level: Level, subject: str) -> Finding:
        return Finding(rule="reach", level=level, subject=subject, message="…")

    found = tuple(
        finding(level, str(n)) for n, level in enumerate((Level.NOTE, Level.REVIEW, Level.FAIL, Level.FAIL))
    )
    result = Audit(job="job", profile="x", verdict=Verdict.FAIL, findings=found)
    assert job_summary(result).worst() == found[2]
    assert job_summary(replace(result, findings=found[:1])).worst() is None


def test_the_worst_of_verdicts() -> None:
    assert worst_verdict([]) is Verdict.PASS
    assert worst_verdict([Verdict.REVIEW, Verdict.UNREADABLE, Verdict.FAIL]) is Verdict.UNREADABLE


def test_what_the_reader_remarks_is_a_finding() -> None:
    cell = CellRef("Pulls", 4, 2)
    remark = Remark(
        rule="unknown-end", level="review", subject="K1", message="A hidden row was read", where=cell
    )
    result = audit(replace(GOOD, remarks=(remark,)), profile())
    assert result.findings[0] == Finding(
        rule="unknown-end", level=Level.REVIEW, subject="K1", message="A hidden row was read", where=cell
    )
    assert result.verdict is Verdict.REVIEW


def test_reaudit_judges_alike_and_plans_nothing() -> None:
    planned, again = audit(BAD, profile()), reaudit(BAD, profile())
    assert again.cut_lists == ()
    assert again.port_plan is None
    own = [f for f in planned.findings if f.rule not in ("cut-list", "port-plan")]
    assert _without_mending(own) == _without_mending(again.findings)


def _without_mending(findings: Iterable[Finding]) -> list[Finding]:
    """What is found, without what is said of mending it and of what follows from it."""
    return [
        replace(f, message="", id="", because=())
        for f in sorted(findings, key=lambda each: (each.rule, each.subject, str(each.where)))
        if f.level is not Level.NOTE
    ]


# --- a rule of ours that raises -----------------------------------------------------------------------


@pytest.mark.parametrize("a_job", [GOOD, BAD], ids=["good", "bad"])
def test_a_rule_that_raises_becomes_a_finding_and_the_others_go_on(
    a_job: Job, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(seen: Bus, plans: Plans) -> Iterator[Finding]:
        yield Finding(rule="reach", level=Level.NOTE, subject="half", message="…")
        raise ZeroDivisionError("for us")

    before = audit(a_job, profile())
    monkeypatch.setitem(RULES, "reach", breaks)
    result = audit(a_job, profile())
    assert result.crashed == ("reach",)
    assert [f for f in result.findings if f.rule == "reach"] == [
        Finding(
            rule="reach",
            level=Level.REVIEW,
            subject="job",
            message="The rule reach could not be run on this job, a fault of the auditor; check it by hand",
        )
    ]
    others = {(f.rule, f.subject, f.where) for f in before.findings if f.rule != "reach"}
    assert others == {(f.rule, f.subject, f.where) for f in result.findings if f.rule != "reach"}
    assert result.verdict is (Verdict.REVIEW if before.verdict is Verdict.PASS else Verdict.FAIL)
    assert "for us" in caplog.text
    assert not any("for us" in finding.message for finding in result.findings)


# --- the record ---------------------------------------------------------------------------------------


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


RICH = replace(
    audit(BAD, profile()),
    file="north/lodge.xlsx",
    sha256="0" * 64,
    profile_chosen="the default",
    questions=(
        QuestionResult(
            id="length-0a1b2c3d",
            sentence="which is it?",
            choices=(
                ChoiceResult(answer="A", leads_to="A is read: C1.1 holds 1,050 ft of cable and fails"),
                ChoiceResult(answer="B", leads_to="B is read: C1.1 holds 810 ft of cable and passes"),
            ),
            where=CellRef("Pulls", 1, 4),
        ),
    ),
    controllers=ControllersResult(
        scheduled=1, needed=2, lower_bound=2, status=Status.PROVEN, driven_by="cable"
    ),
    port_plan=PortPlanResult(
        status=Status.BEST_FOUND,
        reason="the time limit was reached",
        moves=(
            Move(branch="P1", origin=None, target="C2.1"),
            Move(branch="P2", origin="C1.1", target="C1.2"),
        ),
        cuts=(Cut(pull="P3", new_home_run_m=12.5),),
        runs=audit(GOOD, profile()).runs,
    ),
    cut_lists=(
        CutListResult(
            cable="CAB",
            status=Status.PROVEN,
            lower_bound=99.5,
            cost=99.5,
            bought_m=304.8,
            needed_m=300.0,
            reels=(
                CutReel(
                    reel="R1", length_m=304.8, pulls=("P1",), cut_m=(300.0,), offcut_m=4.8, on_shelf=True
                ),
            ),
            uncut=("P9",),
            offers=(ReelOffer(length_m=304.8, price=99.5), ReelOffer(length_m=50.0, on_shelf=2)),
        ),
    ),
)
UNREADABLE = Audit(job="x", profile=None, verdict=Verdict.UNREADABLE, problem="x.xlsx has no pull schedule")
AUDITS = {
    "rich": RICH,
    "good": audit(GOOD, profile()),
    "bad": audit(BAD, profile()),
    "empty": audit(job([]), profile()),
    "unreadable": UNREADABLE,
    "off-spec": audit(job([pull("C1.1", "K1")], cable=replace(SPEC, shielded=True)), profile()),
    "no limits": audit(GOOD, load_profile("two-wire")),
}


@pytest.mark.parametrize("result", AUDITS.values(), ids=AUDITS)
def test_the_record_is_valid_under_its_schema(result: Audit) -> None:
    assert [fault.message for fault in VALIDATOR.iter_errors(plain(result))] == []


@pytest.mark.parametrize("path", SAMPLES, ids=[path.stem for path in SAMPLES])
def test_the_records_of_the_sample_workbooks_are_valid(path: Path) -> None:
    a_job = read_job(path.read_bytes(), path.name)
    result = audit(a_job, load_profile(a_job.profile_name or DEFAULT))
    assert [fault.message for fault in VALIDATOR.iter_errors(plain(result))] == []


def test_a_finding_names_its_cell() -> None:
    found = plain(audit(BAD, profile()))["findings"]
    reach = next(item for item in found if item["rule"] == "reach")
    assert (reach["sheet"], reach["cell"], reach["unit"]) == ("Devices", "A4", "m")
    whole = next(item for item in found if item["rule"] == "port-plan")
    assert (whole["sheet"], whole["cell"]) == (None, None)


BROKEN: list[tuple[str, Mapping[str, object]]] = [
    ("a verdict that we do not have", {"verdict": "ok"}),
    ("unreadable without a problem", {"verdict": "unreadable"}),
    ("a problem although it was read", {"problem": "…"}),
    ("a field that is not in the contract", {"colour": "red"}),
    ("a hash that is none", {"sha256": "abc"}),
    ("no findings", {"findings": None}),
    ("another version", {"schema": 2}),
]


@pytest.mark.parametrize(("what", "change"), BROKEN, ids=[row[0] for row in BROKEN])
def test_the_schema_refuses(what: str, change: Mapping[str, object]) -> None:
    data = plain(audit(GOOD, profile()))
    assert VALIDATOR.is_valid(data)
    assert not VALIDATOR.is_valid(data | change)
