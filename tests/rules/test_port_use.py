import pytest

from auditor.job.model import CellRef, Controller, Job
from auditor.results.findings import Finding, Level
from tests.builders import device, found, job, pull

SHEET = CellRef("Controllers", 2, 1)


def ports(count: int, names: str, has: int, where: CellRef) -> Finding:
    return Finding(
        rule="port-use",
        level=Level.FAIL,
        subject="C1",
        message=f"The schedule uses {count} ports of C1 ({names}), which has {has}; correct the ends or "
        "add a controller",
        where=where,
        measured=count,
        limit=has,
        unit="ports",
    )


def other(listed: str, led: str) -> Finding:
    return Finding(
        rule="port-use",
        level=Level.REVIEW,
        subject="K1",
        message=f"The device list has K1 on {listed}, its pulls lead to {led}; correct one of the two",
        where=CellRef("Devices", 2, 1),
    )


def listed(*, controller: str | None = None, port: str | None = None) -> Job:
    return job([pull("C1.1", "K1")], [device("K1", controller=controller, port=port)])


THREE = [pull("C1.10", "K1"), pull("C1.2", "K2"), pull("C1.1", "K3")]

CASES: list[tuple[str, Job, list[Finding]]] = [
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
    ("passes: two ports where the controller has two", job([pull("C1.1", "K1"), pull("C1.2", "K2")]), []),
    ("review: another port in the device list", listed(controller="C1", port="2"), [other("C1.2", "C1.1")]),
    ("another controller in the device list", listed(controller="C2", port="1"), [other("C2.1", "C1.1")]),
    ("and its port not stated", listed(controller="C2"), [other("C2", "C1.1")]),
    ("passes: the same port", listed(controller="C1", port="1"), []),
    ("passes: the controller alone", listed(controller="C1"), []),
    ("cannot judge: the device list states no port", listed(), []),
    (
        "cannot judge: no port feeds it",
        job([pull("X1", "K1")], [device("K1", controller="C1", port="2")]),
        [],
    ),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_port_use(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("port-use", a_job) == findings
