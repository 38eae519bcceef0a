"""Which other names are thought of for an end of a pull, and in which order."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef
from tests.builders import device, job, pull
from tests.causes.thought_of import FEED, mends, mends_of, ways


def test_an_end_is_no_name_of_its_own_piece_nor_that_at_the_other_end() -> None:
    tags = [device(tag) for tag in ("K1", "K5", "K7")]
    assert ways(job([FEED, pull("K5", "XX", id="P2")], tags), "unknown-end", "P2") == [
        "as K7, one of 2 that nothing feeds"
    ]
    assert ways(job([FEED, pull("K5", "K55", id="P2")], tags), "unknown-end", "P2") == [
        "as K7, one of 2 that nothing feeds"
    ]
    assert ways(job([FEED, pull("K1", "K11", id="P2")], tags[:1]), "unknown-end", "P2") == []


def test_a_name_that_is_fed_is_said_without_more() -> None:
    assert ways(
        job([FEED, pull("K12", "K3", id="P2")], [device("K1"), device("K3")]), "unknown-end", "P2"
    ) == ["as K1"]


def test_three_names_are_tried_at_most() -> None:
    tags = [device(tag) for tag in ("K1", "L2", "L3", "L4", "L5")]
    assert ways(job([FEED, pull("K1", "XX", id="P2")], tags), "unknown-end", "P2") == [
        f"as L{n}, one of 4 that nothing feeds" for n in (2, 3, 4)
    ]


def test_where_it_stands_in_the_list_counts_for_40_per_cent_of_likeness() -> None:
    """Of four letters three are alike in AB1X and two in AB34, which is listed beside K1: 75 against 50 and 40 per
    cent. Of XY99 none is: 75 against 40."""

    def first(beside: str) -> str:
        tags = [device(tag) for tag in ("AB1X", "K0", "K1", beside)]
        pulls = [pull("C1.1", "K0", id="P0"), pull("K0", "K1", id="P1"), pull("K1", "AB12", id="P2")]
        return ways(job(pulls, tags), "unknown-end", "P2")[0]

    assert first("AB34") == "as AB34, one of 2 that nothing feeds"
    assert first("XY99") == "as AB1X, one of 2 that nothing feeds"


@pytest.mark.parametrize(
    ("wrong", "other"),
    [(1, 2), (6, 5), (0, 4), (7, 3)],
    ids=["only the one before it counts", "only the one after it", "it is listed first", "it is listed last"],
)
def test_the_name_that_stands_in_the_list_where_the_pull_stands_comes_first(wrong: int, other: int) -> None:
    """A star of eight pulls in the order of the list, two of which end at what is no device; the device of the other
    one feeds one more, so that without the list its greater piece would come first."""
    tags = [device(f"R{n}") for n in range(8)]
    pulls = [pull("C1.1", f"R{n}", id=f"P{n}") for n in range(8)]
    pulls[wrong], pulls[other] = replace(pulls[wrong], far="XX"), replace(pulls[other], far="YY")
    at = other + (other > wrong)
    pulls.insert(at, pull(f"R{other}", "Z", id="PZ"))
    tags.insert(at, device("Z"))
    assert (
        ways(job(pulls, tags), "unknown-end", f"P{wrong}")[0] == f"as R{wrong}, one of 2 that nothing feeds"
    )


def test_a_blank_near_end_is_a_root_of_another_piece() -> None:
    tags = [device(tag) for tag in ("K1", "K2", "K3")]
    a_job = job([FEED, pull("", "K2", id="P2")], tags)
    (mend,) = mends_of(a_job, "missing-value", "P2")
    assert (mend.way, mend.dark) == ("as K3, one of 2 that nothing feeds", True)
    assert [each.near for each in mend.change.applied(a_job).pulls] == ["C1.1", "K3"]


def test_an_end_at_what_is_fed_is_not_dark() -> None:
    a_job = job([FEED, pull("K1", "XX", id="P2")], [device("K1"), device("K2")])
    (mend,) = mends_of(a_job, "unknown-end", "P2")
    assert not mend.dark
    assert mend.feeds is not None
    assert mend.feeds.root == "K2"
    assert mend.fault == "Pull P2 ends at XX, which is no device, port, head end or splice of this job"
    assert mend.otherwise == "; if that is not meant, correct it"


def test_two_unknown_ends_of_one_pull_are_mended_each_by_its_own_finding() -> None:
    cells = {"near": CellRef("Pulls", 3, 2), "far": CellRef("Pulls", 3, 3)}
    a_job = job([FEED, pull("XX", "YY", id="P2", cells=cells)], [device("K1"), device("K2")])
    found = [
        (each.finding.where, each.fault.split(",")[0])
        for each in mends(a_job)
        if each.way.startswith("as K2")
    ]
    assert found == [(cells["near"], "Pull P2 starts at XX"), (cells["far"], "Pull P2 ends at YY")]


def test_a_blank_end_is_mended_by_the_finding_that_tells_of_it() -> None:
    """The pull lacks its length and its cable as well, which no other name gives it."""
    cells = {
        field: CellRef("Pulls", 3, at) for at, field in enumerate(("near", "far", "length_m", "cable"), 2)
    }
    blank = pull("K1", "", None, id="P2", cable=None)
    for row in (blank, replace(blank, cells=cells)):
        (mend,) = mends(job([FEED, row], [device("K1"), device("K2")]))
        assert mend.fault == "Pull P2 does not say where it goes to, so it cannot be judged in full"
        assert mend.otherwise == "; fill it in"


def test_without_a_list_of_devices_no_end_is_given_another_name() -> None:
    assert mends(job([pull("C1.1", "K1"), pull("C1.2", "K11")], [])) == []
