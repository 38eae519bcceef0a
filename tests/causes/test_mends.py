"""Which ways to mend are thought of, and in which order; whether they mend is tried in test_prove.py."""

from dataclasses import replace

from auditor.bus.pieces import unfed_pieces
from auditor.bus.topology import topology
from auditor.job.model import Controller
from tests.builders import device, job, pull
from tests.causes.thought_of import FEED, mends, ways


def test_a_far_end_is_first_what_nothing_feeds_then_what_is_spelt_alike() -> None:
    a_job = job(
        [FEED, pull("K1", "K22", id="P2"), pull("T9", "T8", id="P3")],
        [device(t) for t in ("K1", "K2", "T9", "T8")],
    )
    assert ways(a_job, "unknown-end", "P2") == [
        "as K2, one of 2 that nothing feeds",
        "as T9, one of 2 that nothing feeds",
    ]


def test_a_near_end_is_first_what_is_spelt_alike_and_nothing_of_its_own_piece() -> None:
    a_job = job(
        [FEED, pull("K11", "K3", id="P2"), pull("K3", "K12", id="P4")],
        [device(t) for t in ("K1", "K3", "K12")],
    )
    assert ways(a_job, "unknown-end", "P2") == ["as K1"]


def test_ports_splices_and_head_ends_are_names_too() -> None:
    devices = [device("K1"), device("K2")]
    to_splice = job(
        [pull("HALL", "K1", id="P1"), pull("HALL", "JOINT7", id="P2"), pull("JOINT", "K2", id="P3")],
        devices,
        head_ends=["HALL"],
        splices=["JOINT7"],
    )
    assert "as JOINT7" in ways(to_splice, "unknown-end", "P3")
    to_head_end = job(
        [pull("HALL", "K1", id="P1"), pull("HALLE", "K2", id="P2")], devices, head_ends=["HALL"]
    )
    assert ways(to_head_end, "unknown-end", "P2") == ["as HALL"]
    to_port = job([pull("C1.1", "K1", id="P1"), pull("CC1-1", "K2", id="P2")], devices)
    assert "as C1.1" in ways(to_port, "unknown-end", "P2")


def test_of_names_that_are_spelt_as_unlike_the_one_beside_its_neighbours_comes_first() -> None:
    tags = [f"R{n}" for n in range(1, 8)]
    pulls = [pull("C1.1", tag, id=f"P{n}") for n, tag in enumerate(tags, 1)]
    pulls[2], pulls[5] = replace(pulls[2], far="XX"), replace(pulls[5], far="YY")
    a_job = job(pulls, [device(tag) for tag in tags])
    assert ways(a_job, "unknown-end", "P3")[0].startswith("as R3,")
    assert ways(a_job, "unknown-end", "P6")[0].startswith("as R6,")
    first = replace(pulls[0], far="XX")
    assert ways(job([first, *pulls[1:2]], [device("R1"), device("R2")]), "unknown-end", "P1") == [
        "as R1, which nothing feeds",
    ]


def test_a_blank_end_of_a_landed_pull_and_of_no_spare_return() -> None:
    devices = [device("K1"), device("K2")]
    assert ways(job([FEED, pull("K1", "", id="P2")], devices), "missing-value", "P2") == [
        "as K2, which nothing feeds"
    ]
    assert ways(job([FEED, pull("K1", "", id="P2", landed=False)], devices), "missing-value", "P2") == []


def test_all_rows_that_state_a_pull_read_otherwise_together() -> None:
    twice = [pull("K1", "XX", 10, id="P2"), pull("K1", "XX", 12, id="P2")]
    a_job = job([FEED, *twice], [device("K1"), device("K2")])
    (mend, *_) = [each for each in mends(a_job) if each.finding.rule == "unknown-end"]
    assert [each.far for each in mend.change.applied(a_job).pulls] == ["K1", "K2", "K2"]


def test_the_later_of_two_rows_goes_first_with_all_that_stands_in_it() -> None:
    a_job = job([FEED, pull("C1.1", "K1", id="P2")], [device("K1"), device("K1")])
    found = [each for each in mends(a_job) if each.finding.rule == "double-entry"]
    assert found[0].finding.where.row >= found[-1].finding.where.row
    gone = next(
        each for each in found if each.finding.subject == "K1" and each.change.gone == {("Devices", 3)}
    )
    assert [each.tag for each in gone.change.applied(a_job).devices] == ["K1"]
    assert len(gone.change.applied(a_job).pulls) == 2


def test_two_devices_of_one_tag_are_parted_with_the_pulls_that_lead_to_each() -> None:
    devices = [device("K4", controller="C1"), device("K4", controller="C2"), device("K9")]
    pulls = [
        FEED,
        pull("K1", "K4", id="P2"),
        pull("C2.1", "K9", id="P3"),
        pull("K9", "K4", id="P4"),
        pull("K4", "K5", id="P5"),
    ]
    a_job = job(pulls, [device("K1"), *devices, device("K5")])
    parted = next(
        each
        for each in mends(a_job)
        if each.way == "as two devices with a tag each" and "C2" in str(each.change.devices)
    )
    after = parted.change.applied(a_job)
    assert [each.tag for each in after.devices] == ["K1", "K4", "K4 on C2", "K9", "K5"]
    assert [(each.near, each.far) for each in after.pulls][3:] == [("K9", "K4 on C2"), ("K4", "K5")]


def test_a_port_that_is_not_there_is_first_one_that_is_free_by_number_or_letter() -> None:
    assert ways(job([FEED, pull("C1.7", "K2", id="P2")]), "port-use", "C1.7") == ["on C1.2", "on C1.1"]
    letters = job([pull("C1.B", "K1"), pull("C1.F", "K2")])
    assert ways(letters, "port-use", "C1.F") == ["on C1.A", "on C1.B"]
    moved = next(each for each in mends(letters) if each.way == "on C1.A").change.applied(letters)
    assert {"C1.A", "C1.B"} <= moved.ports.keys()
    assert [each.near for each in moved.pulls] == ["C1.B", "C1.A"]


def test_a_new_port_brings_its_controller_and_keeps_those_that_are_listed() -> None:
    listed = [Controller(name="C1", ports=3, supply_power_w=99.0)]
    a_job = job([FEED, pull("C1.7", "K2", id="P2")], controllers=listed)
    moved = next(each for each in mends(a_job) if each.way == "on C1.2").change.applied(a_job)
    assert moved.controllers["C1"].supply_power_w == 99.0
    assert ways(a_job, "port-use", "C1.7") == ["on C1.2", "on C1.3", "on C1.1"]


def test_a_missing_pull_starts_at_the_port_that_the_list_names_else_where_there_is_least_cable() -> None:
    devices = [device("K1"), device("K2"), device("K5"), device("K6")]
    pulls = [pull("C1.1", "K1", 90, id="P1"), pull("C1.2", "K2", 10, id="P2"), pull("K5", "K6", id="P3")]
    (drawn,) = [each for each in mends(job(pulls, devices)) if each.change.drawn]
    assert [(each.near, each.far) for each in drawn.change.drawn] == [("C1.2", "K5")]
    listed = [*devices[:2], *(replace(each, controller="C1", port="1") for each in devices[2:])]
    (drawn,) = [each for each in mends(job(pulls, listed)) if each.change.drawn]
    assert [(each.near, each.far, each.cable) for each in drawn.change.drawn] == [("C1.1", "K5", "CAB")]
    assert mends(job(pulls[:2], [*devices[:2], device("K9")])) == []  # nothing hangs on it


def test_pieces_of_what_nothing_feeds_begin_where_no_pull_arrives() -> None:
    tags = ("K1", "A1", "A2", "A3", "B1", "B2", "D1")
    pulls = [FEED, pull("A2", "A3"), pull("A1", "A2"), pull("X", "B1"), pull("B1", "B2"), pull("B2", "")]
    shape = topology(job(pulls, [device(tag) for tag in tags]))
    found = {piece.root: piece for piece in unfed_pieces(shape)}
    assert set(found) == {"A1", "X", "D1"}
    assert found["A1"].ends == {"A1", "A2", "A3"}
    assert found["X"].ends == {"X", "B1", "B2"}
    assert [each.tag for each in found["X"].devices] == ["B1", "B2"]
    assert [each.far for each in found["X"].pulls] == ["B1", "B2", ""]
    assert [len(piece.rows) for piece in unfed_pieces(shape)] == [5, 5, 1]


def test_the_root_of_a_ring_that_nothing_feeds_is_its_first_device() -> None:
    ring = [pull("K1", "K2"), pull("K2", "K3"), pull("K3", "K1")]
    (piece,) = unfed_pieces(topology(job(ring, [device("K1"), device("K2"), device("K3")])))
    assert piece.root == "K1"


def test_the_root_of_a_ring_without_a_device_is_its_first_end() -> None:
    ring = [pull("", "X2"), pull("X1", "X2"), pull("X2", "X3"), pull("X3", "X1")]
    (piece,) = unfed_pieces(topology(job(ring, [])))
    assert (piece.root, len(piece.pulls), piece.devices) == ("X2", 4, ())


def test_a_pull_with_two_blank_ends_is_in_no_piece() -> None:
    (piece,) = unfed_pieces(topology(job([pull("", "", id="P7")], [device("K1")])))
    assert (piece.root, piece.pulls) == ("K1", ())


def test_the_root_is_an_end_where_no_pull_arrives_before_the_first_device() -> None:
    pulls = [pull("X", "K2"), pull("K2", "K3")]
    (piece,) = unfed_pieces(topology(job(pulls, [device("K3"), device("K2")])))
    assert piece.root == "X"
    (piece,) = unfed_pieces(topology(job([*pulls, pull("K1", "K3")], [device(f"K{n}") for n in (3, 2, 1)])))
    assert piece.root == "K1"
