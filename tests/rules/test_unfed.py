import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from tests.builders import device, found, job, pull


def about(subject: str, where: CellRef, message: str) -> Finding:
    return Finding(rule="unfed", level=Level.FAIL, subject=subject, message=message, where=where)


def row(sheet: str, number: int) -> CellRef:
    return CellRef(sheet, number, 1)


TWO = [device("K1"), device("K2")]
FIX = "add the missing pull or correct an end's name"

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: K2 in the list, no pull that ends at it",
        job([pull("C1.1", "K1")], TWO),
        [about("K2", row("Devices", 3), f"K2 is not fed: no pull ends at it; {FIX}")],
    ),
    ("passes: C1.1-K1, K1-K2", job([pull("C1.1", "K1"), pull("K1", "K2")]), []),
    (
        "a chain that starts nowhere",
        job([pull("C1.1", "K1"), pull("KX", "K2")], TWO),
        [
            about("K2", row("Devices", 3), f"K2 is not fed: its cable leads to no port; {FIX}"),
            about(
                "KX-K2",
                row("Pulls", 3),
                "Pull KX-K2 (KX to K2) hangs on no port; add the pull that feeds it or correct an end's name",
            ),
        ],
    ),
    (
        "only a spare return",
        job([pull("C1.1", "K1"), pull("K2", "C1.1", landed=False)], TWO),
        [about("K2", row("Devices", 3), f"K2 is not fed: only an unlanded spare return ends at it; {FIX}")],
    ),
    (
        "a spare return and a chain that starts nowhere",
        job([pull("C1.1", "K1"), pull("K2", "C1.1", landed=False), pull("", "K2")], TWO),
        [about("K2", row("Devices", 3), f"K2 is not fed: its cable leads to no port; {FIX}")],
    ),
    (
        "cannot judge: a blank end is told by missing-value, the device beyond it is not fed",
        job([pull("C1.1", "K1"), pull("", "K2")], TWO),
        [about("K2", row("Devices", 3), f"K2 is not fed: its cable leads to no port; {FIX}")],
    ),
    (
        "what an open question may feed is asked there, all that hangs on it too, and nothing else",
        job(
            [
                *(pull(near, far) for near, far in (("C1.1", "K1"), ("K4", "K3"), ("K3", "K2"), ("", "K2"))),
                *(pull(near, far) for near, far in (("", "K5"), ("X", "Y"))),
                pull("K4", "K6", landed=False),
            ],
            [device(f"K{n}") for n in range(1, 7)],
            open_ends=frozenset({"K2"}),
        ),
        [
            about("K5", row("Devices", 6), f"K5 is not fed: its cable leads to no port; {FIX}"),
            about("K6", row("Devices", 7), f"K6 is not fed: only an unlanded spare return ends at it; {FIX}"),
            about(
                "X-Y",
                row("Pulls", 7),
                "Pull X-Y (X to Y) hangs on no port; add the pull that feeds it or correct an end's name",
            ),
        ],
    ),
    ("a branch at a head end is fed", job([pull("PANEL", "K1")], head_ends=["PANEL"]), []),
    ("a device list without a schedule", job([], [device("K1")]),
        [about("K1", row("Devices", 2), f"K1 is not fed: no pull ends at it; {FIX}")]),
    ("empty job", job([]), []),
]  # fmt: skip


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_unfed(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("unfed", a_job) == findings
