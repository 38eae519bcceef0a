"""A pull that is missing: of which piece it is thought, where it starts, and which ways come first."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Pull
from tests.builders import device, job, pull
from tests.causes.thought_of import FEED, mends

HAIR_M = 0.001  # the least length that a schedule states


def test_the_pull_that_is_drawn() -> None:
    pulls = [pull("C1.1", "K1", id="P1", cable=None), pull("K5", "K6", id="P2"), pull("K6", "K7", id="P3")]
    (mend,) = mends(job(pulls, [device(f"K{n}") for n in (1, 6, 5, 7)]))
    assert mend.change.drawn == (
        Pull(id="\0K5", near="C1.1", far="K5", length_m=HAIR_M, cable="CAB", where=CellRef("Devices", 3, 1)),
    )
    assert (mend.finding.rule, mend.finding.subject) == ("unfed", "K5")
    assert mend.fault == "K5 is not fed: its cable leads to no port"
    assert mend.otherwise == "; add the missing pull or correct an end's name"
    assert mend.feeds is not None
    assert mend.feeds.root == "K5"


def test_of_a_piece_that_begins_at_no_device_the_pull_is_told() -> None:
    """An end that is not known is corrected, and no pull leads to it."""
    known = job([FEED, pull("X", "K5", id="P3")], [device("K1"), device("K5")], splices=["X"])
    drawn = [each for each in mends(known) if each.change.drawn]
    assert [(each.finding.subject, each.change.drawn[0].far) for each in drawn] == [("P3", "X")]
    unknown = mends(replace(known, splices=frozenset()))
    assert [(each.finding.rule, each.way) for each in unknown] == [
        ("unknown-end", "with an end there that is fed")
    ]
    pulls = [
        FEED,
        pull("K6", "K5", id="P2"),
        pull("X", "K5", id="P3"),
        pull("K9", "X", id="P4", landed=False),
    ]
    both = mends(job(pulls, [device(f"K{n}") for n in (1, 5, 6)]))
    assert [each.finding.subject for each in both if each.change.drawn] == ["K6"]


def test_a_row_alone_has_no_pull_that_is_missing_and_two_rows_have() -> None:
    assert mends(job([FEED], [device("K1"), device("M1")])) == []
    two = mends(
        job(
            [FEED, pull("M1", "", id="P2", landed=False), pull("X", "M1", id="P3")],
            [device("K1"), device("M1")],
            splices=["X"],
        )
    )
    assert [each.feeds.rows for each in two if each.change.drawn and each.feeds] == [
        {("Devices", 3), ("Pulls", 4)}
    ]


def test_of_a_piece_that_a_question_may_feed_nothing_is_thought() -> None:
    a_job = job([FEED, pull("K5", "K6", id="P2")], [device("K1"), device("K5"), device("K6")])
    assert len(mends(a_job)) == 1
    asked = job([FEED, pull("K5", "K6", id="P2")], a_job.devices, open_ends=frozenset({"K5"}))
    assert mends(asked) == []


def test_a_job_without_a_port_has_none_to_start_at() -> None:
    assert mends(job([pull("K5", "K6", id="P2")])) == []


@pytest.mark.parametrize(("first_ft", "second_ft", "source"), [(20, 10, "C1.2"), (10, 20, "C1.1")])
def test_it_starts_where_there_is_least_cable(first_ft: float, second_ft: float, source: str) -> None:
    pulls = [pull("C1.1", "K1", first_ft), pull("C1.2", "K2", second_ft), pull("K5", "K6")]
    (mend,) = mends(job(pulls))
    assert [each.near for each in mend.change.drawn] == [source]


def test_it_starts_at_the_first_port_that_the_list_states_and_the_schedule_has() -> None:
    devices = [
        device("K1"),
        device("K2"),
        device("K5", controller="C9", port="1"),
        device("K6", controller="C1", port="1"),
    ]
    pulls = [pull("C1.1", "K1", 90), pull("C1.2", "K2", 10), pull("K5", "K6")]
    (mend,) = mends(job(pulls, devices))
    assert [each.near for each in mend.change.drawn] == ["C1.1"]


def test_the_likeliest_ways_come_first_of_one_rank_what_feeds_most_and_last_a_missing_pull() -> None:
    tags = [device(tag) for tag in ("K1", "A1", "B1", "B2")]
    pulls = [FEED, pull("K1", "AX", id="P2"), pull("K1", "BX", id="P3"), pull("B1", "B2", id="P4")]
    assert [(each.finding.subject, each.way, each.rank) for each in mends(job(pulls, tags))] == [
        ("P3", "as B1, one of 2 that nothing feeds", 0),
        ("P2", "as A1, one of 2 that nothing feeds", 0),
        ("P2", "as B1, one of 2 that nothing feeds", 1),
        ("P3", "as A1, one of 2 that nothing feeds", 1),
        ("B1", "with a pull that feeds it", 0),
    ]
