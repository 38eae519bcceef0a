"""What counts as right, asked and wrong, each from both sides."""

from dataclasses import replace
from typing import Any

import pytest

from tests.offices.design import Port
from tests.offices.judge import ASKED, RIGHT, WRONG, judge
from tests.offices.truth import Figures, Run, Truth

PORT = Port(1, 1)
BRANCHES = (
    Figures(cable_m=60.0, reach_m=45.0, devices=4, power_w=2.0),
    Figures(cable_m=30.0, reach_m=25.0, devices=2, power_w=1.0),
)
TRUE_RUN = Run(
    port=PORT,
    whole=Figures(cable_m=90.0, reach_m=45.0, devices=6, power_w=3.0),
    farthest=frozenset({"KP-106"}),
    branches=BRANCHES,
    cables=frozenset({"CAB"}),
    looped=False,
    names=frozenset({"bcu11", "bcu1p1"}),
)
PASS = Truth(runs=(TRUE_RUN,), verdict="pass", fails=frozenset())
FAIL = Truth(runs=(TRUE_RUN,), verdict="fail", fails=frozenset({"power"}), may_fail=frozenset({"port-plan"}))


def run(**more: Any) -> dict[str, Any]:
    return {
        "controller": "BCU-1",
        "port": "1",
        "branch": None,
        "cable_m": 90.0,
        "reach_m": 45.0,
        "farthest": "KP-106",
        "devices": 6,
        "power_w": 3.0,
    } | more


def finding(
    level: str, rule: str = "reading", message: str = "Which column is the length?"
) -> dict[str, Any]:
    return {"level": level, "rule": rule, "message": message}


def record(verdict: str, *runs: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"verdict": verdict, "problem": None, "runs": list(runs), "findings": [], "questions": []} | more


ASKS = [finding("review")]
POWER = [finding("fail", "power")]
BRANCH = {"port": None, "branch": "W7", "cable_m": 30.0, "reach_m": 25.0, "devices": 2, "power_w": 1.0}
CASES = {
    "all as it is": (PASS, record("pass", run()), RIGHT),
    "the port spelled otherwise": (PASS, record("pass", run(controller="bcu 1", port="P1")), RIGHT),
    "the tag spelled otherwise": (PASS, record("pass", run(farthest="kp 0106")), RIGHT),
    "a head end's own name": (PASS, record("pass", run(controller=None, head_end="BCU-1")), RIGHT),
    "a length 4 cm off": (PASS, record("pass", run(cable_m=90.04)), RIGHT),
    "a note more": (PASS, record("pass", run(), findings=[finding("note")]), RIGHT),
    "another controller": (PASS, record("pass", run(controller="BCU-2")), WRONG),
    "a length 6 cm off": (PASS, record("pass", run(cable_m=90.06)), WRONG),
    "a device less": (PASS, record("pass", run(devices=5)), WRONG),
    "another farthest": (PASS, record("pass", run(farthest="KP-105")), WRONG),
    "a run more": (PASS, record("pass", run(), run(port="2")), WRONG),
    "no runs and a pass": (PASS, record("pass"), WRONG),
    "a figure left out in silence": (PASS, record("pass", run(power_w=None)), WRONG),
    "a question, all figures true": (PASS, record("review", run(), findings=ASKS), ASKED),
    "a question, no figures": (PASS, record("review", findings=ASKS), ASKED),
    "a question as a record": (PASS, record("review", questions=[{"sentence": "Which unit?"}]), ASKED),
    "refused with a reason": (PASS, record("unreadable", problem="no pull schedule found"), ASKED),
    "a question, some figures": (
        PASS,
        record("review", run(cable_m=None, reach_m=None), findings=ASKS),
        ASKED,
    ),
    "a question, one branch": (PASS, record("review", run(**BRANCH), findings=ASKS), ASKED),
    "a question and a false figure": (PASS, record("review", run(reach_m=46.0), findings=ASKS), WRONG),
    "a question and 0 devices": (PASS, record("review", run(devices=0), findings=ASKS), WRONG),
    "a question and a run too many": (PASS, record("review", run(), run(port="2"), findings=ASKS), WRONG),
    "a review that asks nothing": (PASS, record("review", run(cable_m=None)), WRONG),
    "a false fail": (PASS, record("fail", run(), findings=[finding("fail", "unfed"), *ASKS]), WRONG),
    "a fail that is true": (FAIL, record("fail", run(), findings=POWER), RIGHT),
    "a fail with what follows": (
        FAIL,
        record("fail", run(), findings=[*POWER, finding("fail", "port-plan")]),
        RIGHT,
    ),
    "a fail with a false one": (
        FAIL,
        record("fail", run(), findings=[*POWER, finding("fail", "loop")]),
        WRONG,
    ),
    "a fault passed over": (FAIL, record("pass", run()), WRONG),
    "a fault not yet judged": (FAIL, record("review", findings=ASKS), ASKED),
    "a true fail, the rest asked": (FAIL, record("fail", run(cable_m=None), findings=[*POWER, *ASKS]), ASKED),
    "a true fail, the rest in silence": (FAIL, record("fail", run(cable_m=None), findings=POWER), WRONG),
    "a fail for another reason": (FAIL, record("fail", run(), findings=[finding("fail", "reach")]), WRONG),
}


@pytest.mark.parametrize("name", CASES)
def test_judge(name: str) -> None:
    truth, line, expected = CASES[name]
    kind, why = judge([line], truth)
    assert kind == expected, why
    assert bool(why) == (kind != RIGHT)


def test_nothing_read_is_wrong() -> None:
    assert judge([], PASS) == (WRONG, "no result")


SLIP = Truth(runs=(TRUE_RUN,), verdict="fail", fails=frozenset({"unknown-end"}), other=PASS)
NAMED = finding("note", "unknown-end", "'KP-1O6' is read as KP-106")
UNKNOWN = finding("fail", "unknown-end", "KP-1O6 is no device; write KP-106 if that is meant")


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (record("fail", run(), findings=[UNKNOWN]), RIGHT),
        (record("review", run(), findings=ASKS), ASKED),
        (record("pass", run(), findings=[NAMED]), WRONG),
    ],
    ids=["said", "asked", "read as meant"],
)
def test_a_slip_is_said_or_asked_and_never_mended_by_the_reader(line: dict[str, Any], expected: str) -> None:
    assert judge([line], SLIP)[0] == expected


def test_several_lines_of_one_workbook_are_one() -> None:
    two = Truth(
        runs=(TRUE_RUN, replace(TRUE_RUN, names=frozenset({"bcu51"}))),
        verdict="pass",
        fails=frozenset(),
    )
    lines = [record("pass", run()), record("pass", run(controller="BCU-5"))]
    assert judge(lines, two) == (RIGHT, "")
