from dataclasses import replace

import pytest

from auditor.job.likeness import likeness
from auditor.job.model import CellRef, Controller, Job, Port
from auditor.results.findings import Finding, Level
from tests.builders import device, found, job, pull

DARK_TOO = ", and the pull that feeds it"


def about(subject: str, row: int, end: str, to_do: str, level: Level = Level.FAIL, also: str = "") -> Finding:
    return Finding(
        rule="unknown-end",
        level=level,
        subject=subject,
        message=f"Pull {subject} {'starts' if subject.startswith(end) else 'ends'} at {end}, which is no device, port, head end or splice of this job; "
        f"{to_do}, or add "
        f"{end} to the device list{also}",
        where=CellRef("Pulls", row, 1),
    )


NO_LIST = Finding(
    rule="unknown-end",
    level=Level.REVIEW,
    subject="C1.1-KP-07",
    message="No list of devices is found that names the ends of the pulls (KP-07, KP-10, KP-11, KP-12 and 2 more); add "
    "one with each device and what it draws",
    where=CellRef("Pulls", 2, 1),
)
DARK = "write KP-07, which nothing feeds, if that is meant"
KEYPADS = [device("KP-07"), device("KP-12")]

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: KP-07A where the list has KP-07",
        job([pull("C1.1", "KP-07A")], KEYPADS),
        [about("C1.1-KP-07A", 2, "KP-07A", DARK)],
    ),
    (
        "review: the same where a question asks for what feeds it",
        job([pull("C1.1", "KP-07A")], KEYPADS, open_ends=frozenset({"KP-07A"})),
        [about("C1.1-KP-07A", 2, "KP-07A", DARK, Level.REVIEW)],
    ),
    (
        "a device that nothing feeds goes before one that is fed",
        job([pull("C1.1", "KP-07"), pull("C1.2", "KP-17")], KEYPADS),
        [about("C1.2-KP-17", 3, "KP-17", "write KP-12, which nothing feeds, if that is meant")],
    ),
    (
        "the pull's own other end is not proposed",
        job([pull("C1.1", "KP-07"), pull("KP-07", "KP-07A")], KEYPADS[:1]),
        [about("KP-07-KP-07A", 3, "KP-07A", "correct it")],
    ),
    (
        "passes: KP-07, C1.2 and a splice",
        job([pull("C1.2", "SP3"), pull("SP3", "KP-07")], KEYPADS, splices=["SP3"]),
        [],
    ),
    (
        "two of five letters are other ones: alike by 60 per cent, and no less will do",
        job([pull("C1.2", "KP-18"), pull("C1.3", "KA-18")], KEYPADS[:1]),
        [
            about("C1.2-KP-18", 2, "KP-18", DARK),
            about("C1.3-KA-18", 3, "KA-18", "correct it"),
        ],
    ),
    (
        "what is fed already is not proposed where the pull is fed at its other end: a loop would close",
        job([pull("C1.1", "KP-07"), pull("C1.2", "KP-08"), pull("KP-07", "KP-09")], KEYPADS[:1]),
        [
            about("C1.2-KP-08", 3, "KP-08", "correct it"),
            about("KP-07-KP-09", 4, "KP-09", "correct it"),
        ],
    ),
    (
        "nor is what the pull feeds itself",
        job([pull("X9", "KP-07"), pull("KP-07", "KP-12"), pull("KP-1", "KP-07")], KEYPADS),
        [
            about("X9-KP-07", 2, "X9", "correct it", also=DARK_TOO),
            about("KP-1-KP-07", 4, "KP-1", "correct it", also=DARK_TOO),
        ],
    ),
    (
        "nothing looks like it",
        job([pull("C1.1", "Gatehouse")], KEYPADS),
        [about("C1.1-Gatehouse", 2, "Gatehouse", "correct it")],
    ),
    (
        "a head end with a slip in it",
        job([pull("PANEL 1", "KP-07"), pull("PANAL 1", "KP-12")], KEYPADS, head_ends=["PANEL 1"]),
        [about("PANAL 1-KP-12", 3, "PANAL 1", "write PANEL 1 if that is meant", also=DARK_TOO)],
    ),
    (
        "both ends of a pull",
        job([pull("X1", "X2")], KEYPADS),
        [about("X1-X2", 2, end, "correct it", also=DARK_TOO) for end in ("X1", "X2")],
    ),
    (
        "review: no device list at all, once for all ends",
        job([pull("C1.1", "KP-07"), *(pull("KP-07", f"KP-1{i}") for i in range(5))], []),
        [NO_LIST],
    ),
    (
        "four ends are all named",
        job([pull("C1.1", f"KP-{n}") for n in range(4)], []),
        [
            replace(
                NO_LIST,
                subject="C1.1-KP-0",
                message="No list of devices is found that names the ends of the pulls (KP-0, KP-1, KP-2, KP-3); add one "
                "with each device and what it draws",
            )
        ],
    ),
    ("cannot judge: a blank end is told by missing-value", job([pull("C1.1", "")], KEYPADS), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_unknown_end(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("unknown-end", a_job) == findings


def test_the_finding_speaks_of_the_cell_that_holds_the_end() -> None:
    near, far = CellRef("Pulls", 2, 2), CellRef("Pulls", 2, 3)
    row = pull("XA", "XB", cells={"near": near, "far": far})
    assert [finding.where for finding in found("unknown-end", job([row], KEYPADS))] == [near, far]


@pytest.mark.parametrize(("ends", "column"), [(("C1.1", "XB"), 3), (("XA", "C1.1"), 2)])
def test_without_devices_too(ends: tuple[str, str], column: int) -> None:
    row = pull(*ends, cells={"near": CellRef("Pulls", 2, 2), "far": CellRef("Pulls", 2, 3)})
    (finding,) = found("unknown-end", job([row], []))
    assert finding.where == CellRef("Pulls", 2, column)


@pytest.mark.parametrize(
    ("end", "name", "per_cent"), [("kp-07", "KP-07", 100), ("KP-70", "KP-07", 80), ("KP-18", "KP-07", 60)]
)
def test_how_much_alike_two_names_are(end: str, name: str, per_cent: float) -> None:
    """Of five letters none, a swap of neighbours that is one slip, and two are other ones."""
    assert likeness(end, name) == pytest.approx(per_cent)


PORT = (
    "if it is a port, write it like C1.1 or C1-P2 or list its controller in a table of controllers; if it "
    "is a device"
)


def with_ports(a_job: Job, *names: str) -> Job:
    """The job with these ports only, and their controllers: the reader did not understand the others."""
    ports = {name: port for name, port in a_job.ports.items() if name in names}
    owners = {port.controller for port in ports.values()}
    return replace(a_job, ports=ports, controllers={name: a_job.controllers[name] for name in sorted(owners)})


@pytest.mark.parametrize(
    ("port", "written", "typed", "meant"),
    [("1", "", "CI.2", "C1.2"), ("1", "C1-P1", "CI-P2", "C1-P2"), ("A", "C1/A", "CI/B", "C1/B")],
)
def test_a_port_that_no_pull_uses_yet_is_proposed_in_the_spelling_of_the_schedule(
    port: str, written: str, typed: str, meant: str
) -> None:
    a_job = job(
        [pull(f"C1.{port}", "KP-07"), pull(typed, "KP-12", id="P2")],
        KEYPADS,
        controllers=[Controller(name="C1", ports=2)],
    )
    first = Port(controller="C1", port=port, written=written)
    a_job = replace(with_ports(a_job, f"C1.{port}"), ports={first.name: first})
    (only,) = found("unknown-end", a_job)
    assert f"Pull P2 starts at {typed}, which" in only.message
    assert f"; write {meant} if that is meant" in only.message


def test_a_spare_return_may_end_at_what_is_fed() -> None:
    (only,) = found(
        "unknown-end", job([pull("C1.1", "KP-07"), pull("C1.2", "KP-08", landed=False)], KEYPADS[:1])
    )
    assert only.message.endswith("; write KP-07 if that is meant, or add KP-08 to the device list")


@pytest.mark.parametrize("end", ["A.1", "B/2", "Box 2:3", "A.P1", "Port 3", "west out 2", "Hub port b"])
def test_what_looks_like_a_port_is_told_how_ports_are_written(end: str) -> None:
    (only,) = found("unknown-end", with_ports(job([pull(end, "KP-07")], KEYPADS)))
    assert only.message == (
        f"Pull {end}-KP-07 starts at {end}, which is no device, port, head end or splice of this job; "
        f"{PORT}, add {end} to the device list{DARK_TOO}"
    )


def test_a_likely_tag_or_port_is_still_proposed() -> None:
    (only,) = found(
        "unknown-end", with_ports(job([pull("C11.1", "KP-07"), pull("C1.1", "KP-12")], KEYPADS), "C1.1")
    )
    assert f"; write C1.1 if that is meant; {PORT}" in only.message


@pytest.mark.parametrize("end", ["KP-3", "K3.107", "Gatehouse", "outlet 2", "support 4"])
def test_what_does_not_look_like_one_is_not(end: str) -> None:
    (only,) = found("unknown-end", with_ports(job([pull(end, "KP-07")], KEYPADS)))
    assert PORT not in only.message


def test_nor_where_the_tags_look_like_ports_themselves() -> None:
    tags = [device("F1.2"), device("Gatehouse")]
    (only,) = found("unknown-end", with_ports(job([pull("F1.2", "Z9.7")], tags)))
    assert only.message.endswith(f"; correct it, or add Z9.7 to the device list{DARK_TOO}")
