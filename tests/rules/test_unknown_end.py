import pytest

from auditor.findings import Finding, Level
from auditor.model import CellRef, Controller, Job
from tests.builders import device, found, job, pull

REVIEW, FAIL = Level.REVIEW, Level.FAIL
SHEET = CellRef("Controllers", 2, 1)


def about(subject: str, row: int, end: str, to_do: str) -> Finding:
    return Finding(
        rule="unknown-end",
        level=REVIEW,
        subject=subject,
        message=f"Pull {subject} ends at {end}, which is no device, port, head end or splice of this job; {to_do}, or add "
        f"{end} to the device list",
        where=CellRef("Pulls", row, 1),
    )


def ports(count: int, names: str, has: int, where: CellRef) -> Finding:
    return Finding(
        rule="unknown-end",
        level=FAIL,
        subject="C1",
        message=f"The schedule uses {count} ports of C1 ({names}), which has {has}; correct the ends or add a controller",
        where=where,
        measured=count,
        limit=has,
        unit="ports",
    )


KEYPADS = [device("KP-07"), device("KP-12")]
THREE = [pull("C1.10", "K1"), pull("C1.2", "K2"), pull("C1.1", "K3")]

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "review: KP-07A where the list has KP-07",
        job([pull("C1.1", "KP-07A")], KEYPADS),
        [about("C1.1-KP-07A", 2, "KP-07A", "write KP-07 if that is meant")],
    ),
    ("passes: KP-07, C1.2 and a splice", job([pull("C1.2", "SP3"), pull("SP3", "KP-07")], KEYPADS, splices=["SP3"]), []),
    (
        "nothing looks like it",
        job([pull("C1.1", "Gatehouse")], KEYPADS),
        [about("C1.1-Gatehouse", 2, "Gatehouse", "correct it")],
    ),
    (
        "a head end with a slip in it",
        job([pull("PANEL 1", "KP-07"), pull("PANAL 1", "KP-12")], KEYPADS, head_ends=["PANEL 1"]),
        [about("PANAL 1-KP-12", 3, "PANAL 1", "write PANEL 1 if that is meant")],
    ),
    (
        "both ends of a pull",
        job([pull("X1", "X2")], KEYPADS),
        [about("X1-X2", 2, "X1", "correct it"), about("X1-X2", 2, "X2", "correct it")],
    ),
    ("no device list at all", job([pull("C1.1", "KP-07")], []),
        [about("C1.1-KP-07", 2, "KP-07", "correct it")]),
    (
        "fails: three ports where the controller has two",
        job(THREE),
        [ports(3, "C1.1, C1.2, C1.10", 2, CellRef("Pulls", 4, 1))],
    ),
    (
        "the controller sheet's own count",
        job(THREE, controllers=[Controller(name="C1", ports=3, where=SHEET)]),
        [],
    ),
    (
        "and one fewer",
        job(THREE[:2], controllers=[Controller(name="C1", ports=1, where=SHEET)]),
        [ports(2, "C1.2, C1.10", 1, SHEET)],
    ),
    ("cannot judge: a blank end is told by missing-value", job([pull("C1.1", "")], KEYPADS), []),
    ("empty job", job([]), []),
]  # fmt: skip


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_unknown_end(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("unknown-end", a_job) == findings


def test_the_finding_speaks_of_the_cell_that_holds_the_end() -> None:
    near, far = CellRef("Pulls", 2, 2), CellRef("Pulls", 2, 3)
    row = pull("XA", "XB", cells={"near": near, "far": far})
    assert [finding.where for finding in found("unknown-end", job([row], KEYPADS))] == [near, far]
