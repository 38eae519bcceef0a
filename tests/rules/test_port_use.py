import pytest

from auditor.job.model import CellRef, Controller, Job
from auditor.results.findings import Finding, Level
from tests.builders import device, found, job, pull

SHEET = CellRef("Controllers", 2, 1)


def ports(subject: str, count: int, names: str, has: int, row: int) -> Finding:
    message = f"The schedule uses {count} ports of C1 ({names}), which has {has}; correct the ends or add a controller"
    return about(subject, Level.FAIL, message, count, has, row)


def none_such(subject: str, count: int, row: int, free: str, level: Level = Level.FAIL) -> Finding:
    message = (
        f"{subject} is no port of C1, which has 2, counted from 1 or A; correct the end ({free} free), "
        "or say how many ports there are"
    )
    return about(subject, level, message, count, 2, row)


def about(subject: str, level: Level, message: str, count: int, has: int, row: int) -> Finding:
    return Finding(
        rule="port-use",
        level=level,
        subject=subject,
        message=message,
        where=CellRef("Pulls", row, 1),
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


def fed(*names: str) -> Job:
    return job([pull(f"C1.{name}", f"K{number}") for number, name in enumerate(names)])


THREE = [pull("C1.10", "K1"), pull("C1.2", "K2"), pull("C1.1", "K3")]

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: three ports where the controller has two",
        job(THREE),
        [ports("C1.10", 3, "C1.1, C1.2, C1.10", 2, 2)],
    ),
    (
        "the controller sheet's own count",
        job(THREE, controllers=[Controller(name="C1", ports=10, where=SHEET)]),
        [],
    ),
    (
        "and one fewer",
        job(THREE[:2], controllers=[Controller(name="C1", ports=1, where=SHEET)]),
        [ports("C1.2", 2, "C1.2, C1.10", 1, 3), ports("C1.10", 2, "C1.2, C1.10", 1, 2)],
    ),
    ("fails: a port that is not there", fed("1", "7"), [none_such("C1.7", 2, 3, "C1.2 is")]),
    ("fails: port 0", fed("0"), [none_such("C1.0", 1, 2, "C1.1 and C1.2 are")]),
    ("fails: a letter that is not there", fed("A", "C"), [none_such("C1.C", 2, 3, "C1.B is")]),
    (
        "review: ports that may be counted otherwise",
        fed("3", "4"),
        [
            none_such("C1.3", 2, 2, "C1.1 and C1.2 are", Level.REVIEW),
            none_such("C1.4", 2, 3, "C1.1 and C1.2 are", Level.REVIEW),
        ],
    ),
    ("passes: names that count nothing", fed("X", "Y"), []),
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
