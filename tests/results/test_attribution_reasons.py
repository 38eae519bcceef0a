"""Why a row is no pass, in words: its own finding, what it follows from, and what its run has."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from auditor.bus.measure import Bus
from auditor.job.model import CellRef
from auditor.results.attribution import Attribution
from auditor.results.findings import Finding, Level, Verdict
from auditor.results.judged import Judged
from auditor.rules import SCOPES
from tests.builders import device, job, measured, pull

F, R = Level.FAIL, Level.REVIEW
KNOWN = measured(job([pull("C1.1", "K1"), pull("K1", "K2"), pull("C1.2", "K3")]))
WITH_GAPS = measured(
    job([pull("C1.1", "K1"), pull("K1", "K2", None), pull("K2", "K3")], [device("K1"), device("K2", None)])
)
K1, K2 = CellRef("Devices", 2, 1), CellRef("Devices", 3, 1)


def finding(
    rule: str, level: Level, subject: str, message: str, where: CellRef | None = None, *because: str
) -> Finding:
    return Finding(
        rule=rule, level=level, subject=subject, message=message, id=message, because=because, where=where
    )


def row(
    findings: Iterable[Finding], where: CellRef, run: int | None = None, seen: Bus = KNOWN
) -> tuple[Verdict, str]:
    return Attribution(Judged(bus=seen, findings=tuple(findings), scopes=SCOPES)).row(where, run)


SLIP = finding("unknown-end", F, "P4", "Pull P4 ends at X; write K4 if that is meant", CellRef("Pulls", 9, 1))
SHIELD = finding("cable-spec", R, "CAB", "Cable CAB is shielded; or keep within its limits")
LONG = finding("run-length", F, "C1.1", "C1.1 is too long; find a shorter way")
OWN = finding("reach", F, "K2", "K2 is too far; feed it from a nearer port", K2)


@pytest.mark.parametrize(
    ("rule", "because", "why"),
    [
        ("unfed", (), "K2 is dark; add a pull"),
        ("unfed", (SLIP.id,), "Dark since pull P4 ends at X"),
        ("reach", (SLIP.id,), "K2 is dark, since pull P4 ends at X"),
        ("reach", (SLIP.id, SHIELD.id), "K2 is dark, since pull P4 ends at X and cable CAB is shielded"),
        ("reach", ("none of these",), "K2 is dark; add a pull"),
    ],
)
def test_a_finding_tells_what_it_follows_from(rule: str, because: tuple[str, ...], why: str) -> None:
    found = finding(rule, F, "K2", "K2 is dark; add a pull", K2, *because)
    assert row([found, SLIP, SHIELD], K2) == (Verdict.FAIL, why)


def test_the_same_fault_in_another_row_is_no_cause() -> None:
    first = finding("double-entry", F, "K1", "K1 is listed here; delete one", K1)
    second = finding("double-entry", F, "K1", "K1 is listed again; delete one", K2, first.id)
    assert row([first, second], K2) == (Verdict.FAIL, second.message)
    other_rule = replace(first, rule="reach")
    assert row([other_rule, second], K2) == (
        Verdict.FAIL,
        "K1 is listed again, since K1 is listed here",
    )
    other_subject = replace(first, subject="K7")
    assert row([other_subject, second], K2)[1] == "K1 is listed again, since K1 is listed here"


@pytest.mark.parametrize(
    ("message", "clause"),
    [
        ("Cable CAB is off", "cable CAB is off"),
        ("Pulls P1, P2 close a loop", "pulls P1, P2 close a loop"),
        ("The schedule uses 3 ports", "the schedule uses 3 ports"),
        ("No power is given", "no power is given"),
        ("Cableway 3 is off", "Cableway 3 is off"),
        ("PULL 7 is off", "PULL 7 is off"),
    ],
)
def test_a_cause_stands_in_small_letters_where_it_begins_with_a_word(message: str, clause: str) -> None:
    cause = finding("cable-spec", R, "x", message)
    assert row([replace(OWN, because=(cause.id,)), cause], K2)[1] == f"K2 is too far, since {clause}"


def test_a_row_that_is_as_bad_as_its_run_tells_its_own_finding_only() -> None:
    assert row([OWN, LONG], K2, 0) == (Verdict.FAIL, OWN.message)
    review, shared = replace(OWN, level=R), replace(LONG, level=R)
    assert row([review, shared], K2, 0) == (Verdict.REVIEW, OWN.message)
    assert row([review, LONG], K2, 0) == (
        Verdict.FAIL,
        f"{OWN.message}. Its run, C1.1, fails: run-length",
    )


def test_a_row_without_a_finding_tells_what_its_run_has() -> None:
    assert row([LONG], K1, 0) == (Verdict.FAIL, "Its run, C1.1, fails: run-length")
    assert row([replace(LONG, level=R)], K1, 0) == (
        Verdict.REVIEW,
        "Its run, C1.1, needs review: run-length",
    )
    assert row([LONG], K1, 1) == (Verdict.PASS, "")


def test_a_run_tells_what_its_worst_finding_follows_from() -> None:
    shared = replace(LONG, because=(SHIELD.id,))
    since = ", since cable CAB is shielded"
    fails = "Its run, C1.1, fails: run-length"
    assert row([shared, SHIELD], K1, 0) == (Verdict.FAIL, fails + since)
    own = replace(OWN, level=R)
    assert row([own, shared, SHIELD], K2, 0)[1] == f"{OWN.message}. {fails}{since}"
    alike = replace(own, because=(SHIELD.id,))
    assert row([alike, shared, SHIELD], K2, 0)[1] == f"K2 is too far{since}. {fails}"
    other = replace(own, because=(SLIP.id,))
    assert row([other, shared, SHIELD, SLIP], K2, 0)[1] == (
        f"K2 is too far, since pull P4 ends at X. {fails}{since}"
    )


def test_a_run_with_gaps_is_no_pass_and_says_which() -> None:
    gaps = "Its run, C1.1, cannot be judged in full: 1 pull without a length and 1 device row without a power"
    assert row([], K1, 0, WITH_GAPS) == (Verdict.REVIEW, gaps)
    assert row([replace(OWN, level=R)], K2, 0, WITH_GAPS) == (Verdict.REVIEW, OWN.message)
    assert row([LONG], K1, 0, WITH_GAPS) == (Verdict.FAIL, "Its run, C1.1, fails: run-length")


def test_what_somebody_accepts_counts_for_no_row() -> None:
    own, shared = (replace(each, level=R, accepted="R. Amann: surveyed") for each in (OWN, LONG))
    assert row([own, shared], K2, 0) == (Verdict.PASS, "")
    assert row([own, replace(LONG, level=R)], K2, 0)[1] == "Its run, C1.1, needs review: run-length"


@pytest.mark.parametrize(
    ("findings", "verdict"),
    [
        ([], Verdict.REVIEW),
        ([replace(LONG, level=Level.NOTE)], Verdict.REVIEW),
        ([replace(LONG, level=R, accepted="R. Amann: surveyed")], Verdict.REVIEW),
        ([LONG], Verdict.FAIL),
    ],
)
def test_the_verdict_of_a_run_with_gaps(findings: list[Finding], verdict: Verdict) -> None:
    assert Attribution(Judged(bus=WITH_GAPS, findings=tuple(findings), scopes=SCOPES)).run(0) is verdict


def test_the_failures_of_a_judged_job_are_its_fails_by_rule_and_subject() -> None:
    judged = Judged(bus=KNOWN, findings=(OWN, LONG, SHIELD), scopes=SCOPES)
    assert judged.failures() == {("reach", "K2"), ("run-length", "C1.1")}
