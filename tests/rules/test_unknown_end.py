import pytest

from auditor.findings import Finding, Level
from auditor.model import CellRef, Job
from tests.builders import device, found, job, pull


def about(subject: str, row: int, end: str, to_do: str) -> Finding:
    return Finding(
        rule="unknown-end",
        level=Level.REVIEW,
        subject=subject,
        message=f"Pull {subject} ends at {end}, which is no device, port, head end or splice of this job; {to_do}, or add "
        f"{end} to the device list",
        where=CellRef("Pulls", row, 1),
    )


KEYPADS = [device("KP-07"), device("KP-12")]

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
