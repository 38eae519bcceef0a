"""All plans together: one that raises is said, and leaves the others as they are."""

import pytest

from auditor.audit import audit
from auditor.results.findings import Verdict
from tests.builders import device, job, profile, pull

GOOD = job([pull("C1.1", "K1", 100), pull("K1", "K2", 50)])
FAULT = "it could not be made, a fault of the auditor; plan it by hand"


@pytest.mark.parametrize(
    ("name", "rule", "said"),
    [
        ("cut_lists", "cut-list", f"No cut list: {FAULT}"),
        ("plan_ports", "port-plan", f"No port plan: {FAULT}"),
    ],
)
def test_a_plan_that_raises_is_said_and_the_others_go_on(
    name: str, rule: str, said: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(*_: object) -> None:
        raise ZeroDivisionError("for us")

    before = audit(GOOD, profile())
    monkeypatch.setattr(f"auditor.plans.make.{name}", breaks)
    result = audit(GOOD, profile())
    assert (result.crashed, result.verdict) == ((rule,), Verdict.REVIEW)
    assert [finding.message for finding in result.findings if finding.rule == rule] == [said]
    assert result.runs == before.runs
    assert "for us" in caplog.text
    if rule == "cut-list":
        assert (result.cut_lists, result.port_plan) == ((), before.port_plan)
    else:
        assert (result.cut_lists, result.port_plan) == (before.cut_lists, None)


def test_two_branches_of_one_name_have_each_their_own_remedy() -> None:
    """Ids that a schedule repeats give two branches one name; what restores one is not said of the other."""
    rows = [pull("PANEL", "K1", 500, id="1"), pull("PANEL", "K2", 900, id="1")]
    devices = [device(tag, 30.0, min_voltage_v=20.0) for tag in ("K1", "K2")]
    found = audit(job(rows, devices, head_ends=["PANEL"]), profile()).findings
    ways = [f.message.rpartition("; ")[2] for f in found if f.rule == "voltage" and f.level == "fail"]
    assert len(ways) == 2
    assert "(500 ft)" in ways[0]
    assert "(900 ft)" in ways[1]
