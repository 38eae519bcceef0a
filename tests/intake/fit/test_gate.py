"""The gate: a job that is read well passes with a real fault in it, one that was misread only asks."""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from auditor.intake.fit.gate import gated
from auditor.job.model import Device, Job, Pull, Table, TableKind
from tests.builders import device, job, pull

PORTS, DEVICES = 3, 5  # chains of five devices on three ports
LENGTHS_FT = (60.0, 25.0, 40.0, 15.0, 30.0)


def rows() -> list[Pull]:
    """Pulls of three chains: C1.1 - K11 - K12 ..., C1.2 - K21 ..."""
    found = []
    for port in range(1, PORTS + 1):
        ends = [f"C1.{port}", *(f"K{port}{number}" for number in range(1, DEVICES + 1))]
        found += [
            pull(*hop, length_ft=ft) for hop, ft in zip(itertools.pairwise(ends), LENGTHS_FT, strict=True)
        ]
    return found


def read_as(pulls: list[Pull]) -> Job:
    """These pulls beside the list of all devices."""
    return job(pulls, [device(p.far) for p in rows()])


def changed(number: int, **fields: object) -> list[Pull]:
    return [replace(p, **fields) if i == number else p for i, p in enumerate(rows())]


WELL_READ: dict[str, Callable[[], list[Pull]]] = {
    "as it is": rows,
    "one row lacks": lambda: [p for i, p in enumerate(rows()) if i != 7],
    "a home run lacks": lambda: [p for i, p in enumerate(rows()) if i != 5],
    "a slip in an end": lambda: changed(7, far="K32Z"),
    "a slip in the end that feeds a branch": lambda: changed(6, near="K12X"),
    "a pull that stands twice": lambda: [*rows(), replace(rows()[3], id="again")],
    "a loop": lambda: [*rows(), pull("K12", "K24")],
    "a length that lacks": lambda: changed(4, length_m=None),
    "two of each": lambda: [
        *(p for i, p in enumerate(changed(3, far="K1Z4")) if i not in (7, 12)),
        pull("K11", "K13"),
        replace(rows()[0], id="again"),
    ],
}
MISREAD: dict[str, tuple[Callable[[], list[Pull]], str]] = {
    "the list read twice": (
        lambda: [*rows(), *(replace(p, id=f"{p.id} again") for p in rows())],
        "stand twice",
    ),
    "cables' numbers as ends": (
        lambda: [*rows(), *(pull(f"C1.{one}", f"C1.{other}") for one, other in ((1, 2), (2, 3), (1, 3)))],
        "from one port to another",
    ),
    "row numbers as the near ends": (
        lambda: [replace(p, near=str(number)) for number, p in enumerate(rows(), 1)],
        "in no list",
    ),
    "cables as the near ends": (lambda: [replace(p, near="CAB") for p in rows()], "most pulls"),
    "ends of another list": (
        lambda: [replace(p, far=f"Room {i}") for i, p in enumerate(rows())],
        "in no list",
    ),
    "chains that hang on no port": (lambda: [p for p in rows() if p.near[0] != "C"], "hang on no port"),
    "one piece without a port": (
        lambda: [*(p for p in rows() if p.near[0] != "C"), pull("K15", "K21"), pull("K25", "K31")],
        "no end of a pull is known as a port",
    ),
}


def rising() -> list[Pull]:
    """Lengths that count from the port."""
    return [
        replace(p, length_m=sum(LENGTHS_FT[: number % DEVICES + 1]) * 0.3048)
        for number, p in enumerate(rows())
    ]


@pytest.mark.parametrize("what", WELL_READ)
def test_a_fault_of_the_job_passes(what: str) -> None:
    read = read_as(WELL_READ[what]())
    assert gated(read) is read


@pytest.mark.parametrize("what", MISREAD)
def test_what_was_misread_is_one_question_and_nothing_else(what: str) -> None:
    make, said = MISREAD[what]
    found = gated(read_as(make()))
    (asked,) = found.remarks
    assert (asked.rule, asked.level, said in asked.message) == ("unreadable-value", "review", True)
    assert (found.devices, found.pulls, found.ports, found.head_ends) == ((), (), {}, frozenset())


def test_lengths_that_may_count_from_the_port_are_withheld_and_the_rest_is_judged() -> None:
    found = gated(read_as(rising()))
    (asked,) = found.remarks
    assert (asked.level, "the lengths rise along 12 of 12 hops" in asked.message) == ("review", True)
    assert len(found.pulls) == len(rising())
    assert {(p.length_m, p.asked) for p in found.pulls} == {(None, frozenset({"length_m"}))}


def test_lengths_that_fall_past_a_branch_do_not_count_from_the_port() -> None:
    """Two stubs of 1 ft at the ends of every other hop make more than a tenth of them fall."""
    chain = rising()
    stubs = [pull(p.far, f"T{number}{stub}", 1.0) for number, p in enumerate(chain[::2]) for stub in "ab"]
    assert not [one for one in gated(read_as([*chain, *stubs])).remarks if "rise along" in one.message]


def test_without_a_list_of_devices_no_end_is_unknown() -> None:
    (asked,) = gated(replace(read_as(rows()), devices=())).remarks
    assert asked.message.startswith("no list of devices is found that names the ends of the pulls (K11, K12,")


def table(kind: TableKind, *columns: str) -> Table:
    places = {name: number for number, name in enumerate(columns, 1)}
    return Table(
        kind=kind,
        sheet="S",
        header_row=1,
        first_row=2,
        last_row=9,
        first_column=1,
        last_column=2,
        columns=places,
    )


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (None, "two columns of a table without headings are taken as the ends"),
        (("near", "far"), "two columns of 'S' are taken as the ends"),
        (("far", "port"), "two columns of 'S' are taken as the ends"),
        (("chain", "length_m"), "the chains of 'S' are taken as the ends"),
    ],
)
def test_the_question_says_where_the_ends_stand(columns: tuple[str, ...] | None, said: str) -> None:
    tables = () if columns is None else (table(TableKind.PULLS, *columns),)
    read = replace(read_as([replace(p, far=f"Room {i}") for i, p in enumerate(rows())]), tables=tables)
    assert said in gated(read).remarks[0].message


def test_too_little_to_doubt() -> None:
    read = read_as([replace(p, near="CAB") for p in rows()[:2]])
    assert gated(read) is read


def test_kinds_that_no_pull_touches_are_asked_about_and_left_out() -> None:
    listed = [*(device(p.far) for p in rows()), device("LS-1", 20.0), device("LS-2", 20.0)]
    asked = gated(job(rows(), listed))
    assert not asked.devices
    (one,) = [remark.question for remark in asked.remarks if remark.question]
    assert one is not None
    assert "LS-1 and LS-2" in one.sentence or "LS-1, LS-2" in one.sentence
    left = gated(job(rows(), listed), answers={one.id: "no"})
    assert [each.tag for each in left.devices] == [p.far for p in rows()]
    assert len(gated(job(rows(), listed), answers={one.id: "yes"}).devices) == len(listed)


def test_a_device_whose_kind_no_port_feeds_is_asked_about_and_left_out_with_its_pulls() -> None:
    """`CNV-011` fed from `MCC-1` in a list of all trades; a device of a kind that ports feed is a fault."""
    listed = [device(p.far) for p in rows()]
    (one,) = [r.question for r in gated(job(rows(), [*listed, device("LS-1")])).remarks if r.question]
    assert one is not None
    pulls = [*rows(), pull("MCC-1", "CNV-011")]
    asked = gated(job(pulls, [*listed, device("CNV-011")]))
    (one,) = [remark.question for remark in asked.remarks if remark.question]
    assert one is not None
    assert one.sentence.startswith("CNV-011 hangs on no port, and no device named so does")
    left = gated(job(pulls, [*listed, device("CNV-011")]), answers={one.id: "no"})
    assert [each.tag for each in left.devices] == [p.far for p in rows()]
    assert len(left.pulls) == len(rows())
    assert gated(job(rows(), [*listed, device("K99")])).devices


def test_a_slip_explains_why_the_only_device_of_its_kind_hangs_on_no_port() -> None:
    pulls = [*rows(), pull("K11", "RT-1O2")]
    assert gated(job(pulls, [*(device(p.far) for p in rows()), device("RT-102")])).devices


def test_pulls_that_each_end_at_a_number_of_their_own_are_asked_about() -> None:
    numbered = [replace(p, far=f"W{n}") for n, p in enumerate(rows(), 1)]
    listed = [*(device(p.far) for p in rows()), *(device(p.far) for p in numbered)]
    assert not gated(job(numbered, listed)).devices


def test_pulls_at_a_controller_whose_ports_others_start_at_are_asked_about() -> None:
    pulls = [*rows(), pull("C1", "K91"), pull("C1", "K92")]
    named = replace(job(pulls, [device(p.far) for p in pulls]), head_ends=frozenset({"C1"}))
    assert not gated(named).devices
    elsewhere = replace(named, head_ends=frozenset({"RACK"}), pulls=(*named.pulls[:-2], pull("RACK", "K91")))
    assert gated(replace(elsewhere, devices=named.devices[:-1])).devices


def test_several_tags_in_the_lists_of_two_sheets_are_asked_about() -> None:
    """A list of faults beside the devices, or a copy; one tag that stands twice is a fault."""
    read = read_as(rows())
    listed = read.devices
    again = tuple(
        replace(one, where=replace(one.where, sheet="Snags"), power_w=None) for one in (listed[1], listed[4])
    )
    both = replace(read, devices=(*listed, *again))
    (one,) = [remark.question for remark in gated(both).remarks if remark.question]
    assert one is not None
    answers = [choice.answer for choice in one.choices]
    assert answers[1:] == ["Snags", "both"]
    assert [gated(both, answers={one.id: answer}).devices for answer in answers] == [
        listed,
        again,
        both.devices,
    ]
    assert gated(replace(read, devices=(*listed, again[0]))).devices


@pytest.mark.parametrize(
    ("power_w", "times", "said"),
    [
        (40.0, 1.0, "the devices draw"),
        (0.5, 300.0, "the pulls are "),
    ],
)
def test_figures_that_no_bus_has_are_asked_about(power_w: float, times: float, said: str) -> None:
    pulls = [replace(p, length_m=(p.length_m or 0.0) * times) for p in rows()]
    listed = [device(p.far, power_w) for p in pulls]
    asked = gated(job(pulls, listed))
    (one,) = [remark.question for remark in asked.remarks if remark.question]
    assert one is not None
    assert one.sentence.startswith(said)
    assert gated(job(pulls, listed), answers={one.id: "yes"}).devices == job(pulls, listed).devices
    lengths, powers = {p.length_m for p in asked.pulls}, {d.power_w for d in asked.devices}
    assert (lengths == {None}, powers == {None}) == (times > 1, times == 1.0)
    assert len(asked.pulls) == len(pulls)
    rows_asked: Sequence[Device | Pull] = asked.pulls if times > 1 else asked.devices
    assert all(row.asked == {"length_m" if times > 1 else "power_w"} for row in rows_asked)


def test_a_run_that_is_twice_too_long_is_a_fault_and_no_doubt() -> None:
    pulls = [replace(p, length_m=(p.length_m or 0.0) * 8) for p in rows()]
    read = job(pulls, [device(p.far, 3.0) for p in pulls])
    assert gated(read) is read


def test_a_length_that_no_question_asks_for_is_missing() -> None:
    """What asks for a value and is lost must not silence the rule that says it is missing."""
    silent = changed(4, length_m=None, asked=frozenset({"length_m"}))
    assert [p.asked for p in gated(read_as(silent)).pulls] == [frozenset()] * len(silent)
