"""How often a job is judged again, and which way is told where as much comes as goes."""

from dataclasses import replace

import pytest

from auditor.audit import judge, judge_as_planned
from auditor.bus.measure import measure
from auditor.causes.prove import MOST_WAYS, with_causes
from auditor.job.model import Job, Pull
from auditor.plans.plans import Plans
from auditor.profile.limits import Profile
from auditor.results.accepted import with_ids
from auditor.results.judged import Judged
from tests.builders import device, job, profile, pull

CHAIN = [pull("C1.1", "K1", id="P1"), *(pull(f"K{n}", f"K{n + 1}", id=f"P{n + 1}") for n in range(1, 9))]
TAGS = [device(f"K{n}") for n in range(1, 10)]


def proven(a_job: Job, **limits: object) -> tuple[list[str], int, int]:
    """The sentences that tell of a cause, how many ways were not tried, and how often the job was judged again."""
    tried: list[Job] = []

    def counted(changed: Job, a_profile: Profile) -> Judged:
        tried.append(changed)
        return judge_as_planned(changed, a_profile)

    judged = judge(measure(a_job, profile(**limits)), Plans())
    judged = replace(judged, findings=tuple(with_ids(judged.findings, None)))
    before = {each.message for each in judged.findings}
    found, untried = with_causes(judged, counted)
    return [each.message for each in found if each.message not in before], untried, len(tried)


def slipped(number: int, far: str) -> list[Pull]:
    """The chain with a pull that ends elsewhere."""
    return [*CHAIN[:number], replace(CHAIN[number], far=far), *CHAIN[number + 1 :]]


SLIP = "ends at X, which is no device, port, head end or splice of this job"
AGAIN = "if that is not meant, correct it"


def test_what_goes_with_a_way_is_tried_in_no_other() -> None:
    """All goes with the first name, so neither another one nor a missing pull is tried."""
    assert proven(job(slipped(3, "X"), TAGS)) == (
        [f"Pull P4 {SLIP}; as K4, which nothing feeds, 12 of 12 findings go and none comes; {AGAIN}"],
        0,
        1,
    )


def test_where_a_fail_comes_the_next_way_is_tried() -> None:
    """As K2 what lies behind comes to light, 110 ft away; a missing pull to K2 of no length leaves it at 100 ft."""
    pulls = [pull("C1.1", "K1", id="P1"), pull("K1", "X", id="P2"), pull("K2", "K3", 100, id="P3")]
    told, untried, times = proven(job(pulls, TAGS[:3]), run__reach="105 ft")
    assert told == [
        f"Pull P2 {SLIP}; as K2, which nothing feeds, 4 of 4 findings go and 1 comes (reach of K3, a fail); {AGAIN}"
    ]
    assert (untried, times) == (0, 2)


def test_a_way_with_which_only_its_own_finding_goes_leaves_the_others_to_be_tried() -> None:
    """A port that is not there is free on C1.2 and could be C1.1: neither mends more, so both are tried."""
    pulls = [pull("C1.1", "K1", id="P1"), pull("C1.7", "K2", id="P2")]
    assert proven(job(pulls, [device("K1", None), device("K2")])) == ([], 0, 2)


def test_a_way_with_which_one_more_finding_goes_settles_its_own() -> None:
    """P10 ends at K22. As M1, which is dark, both findings go; as K2, which is fed, it is not tried any more."""
    pulls = [*CHAIN, pull("K9", "K22", id="P10")]
    told, untried, times = proven(job(pulls, [*TAGS, device("M1")]))
    assert ["as M1, which nothing feeds, 2 of 2 findings go and none comes" in each for each in told] == [
        True
    ]
    assert (untried, times) == (0, 1)


def test_an_end_in_the_dark_is_settled_by_its_own_finding() -> None:
    """Two ends in a row: each is tried once, then both together, then each left out; no missing pull is tried, as
    the two pieces are fed."""
    pulls = slipped(3, "X")
    pulls[6] = replace(pulls[6], far="Y")
    told, untried, times = proven(job(pulls, TAGS))
    assert sorted(each.split(" and none comes")[0].split("; ")[1] for each in told) == [
        "as K4, one of 2 that nothing feeds, 7 of 13 findings go, 5 more with P7 mended too,",
        "as K7, one of 2 that nothing feeds, 1 of 13 findings goes, 5 more with P4 mended too,",
    ]
    assert (untried, times) == (0, 2 + 1 + 2)


def test_so_many_ways_are_tried_and_the_others_counted() -> None:
    chains = [pull(f"K{n}", f"L{n}", id=f"Q{n}") for n in range(1, 13)]
    tags = [device(f"{letter}{n}") for n in range(1, 13) for letter in "KL"]
    told, untried, times = proven(job([pull("C1.1", "K0", id="P0"), *chains], [device("K0"), *tags]))
    assert (len(told), untried, times) == (MOST_WAYS, 12 - MOST_WAYS, MOST_WAYS)


@pytest.mark.parametrize(
    ("more", "times", "joint"),
    [(800, 2 + 1 + 2, 2), (1000, 2, 0)],
    ids=["1,618 rows, 3 ways and 2 tries more", "2,018 rows, 2 ways and 2 tries more"],
)
def test_causes_are_tried_together_while_the_tries_suffice(more: int, times: int, joint: int) -> None:
    """Of two ends in a row each has one way; both together and each left out are three tries more. Of 6,000 rows in
    all a job may be judged 3 times where it has up to 2,000, beyond that twice."""
    pulls = slipped(3, "X")
    pulls[6] = replace(pulls[6], far="Y")
    star = [pull("K1", f"M{n}", 0.01, id=f"M{n}") for n in range(more)]
    tags = [*TAGS, *(device(f"M{n}", 0.001) for n in range(more))]
    told, _, judged = proven(job([*pulls, *star], tags), run__devices=5000, controller__devices=5000)
    assert (judged, sum("5 more with P" in each for each in told)) == (times, joint)


def test_where_nothing_can_be_mended_nothing_is_tried() -> None:
    assert proven(job(CHAIN, [device(each.tag, None) for each in TAGS])) == ([], 0, 0)


# --- as much comes as goes ----------------------------------------------------------------------------


def dark_behind(far: str, devices: int = 50, more: int = 0) -> list[str]:
    """K2 is dark and 110 ft from its port where 60 ft are allowed; further devices hang on it, each 1 ft farther."""
    pulls = [pull("C1.1", "K1", id="P1"), pull("K1", far, 100, id="P2")]
    pulls += [pull(f"K{n - 1}", f"K{n}", 1, id=f"P{n}") for n in range(3, 3 + more)]
    a_job = job(pulls, TAGS[: 2 + more])
    return proven(a_job, run__reach="60 ft", run__devices=devices)[0]


def test_of_as_many_fails_that_come_as_go_nothing_is_told() -> None:
    """The unknown end and the dark device go; one device too far and one device too many come."""
    assert dark_behind("X", devices=1) == []


def test_of_one_fail_more_that_goes_the_way_is_told() -> None:
    assert dark_behind("X") == [
        f"Pull P2 {SLIP}; as K2, which nothing feeds, 2 of 2 findings go and 1 comes (reach of K2, a fail); {AGAIN}"
    ]


def test_of_as_many_fails_and_a_review_that_goes_the_way_is_told() -> None:
    """A blank end is a review: it goes with the dark device, and the reach of that comes."""
    assert dark_behind("") == [
        "Pull P2 does not say where it goes to, so it cannot be judged in full; as K2, which nothing feeds, "
        "2 of 2 findings go and 1 comes (reach of K2, a fail); fill it in"
    ]


def test_three_that_come_are_named_and_a_fourth_is_counted() -> None:
    three = dark_behind("X", more=2)
    assert three[0].partition(" findings go and ")[2] == (
        f"3 come (reach of K2, a fail; reach of K3, a fail; reach of K4, a fail); {AGAIN}"
    )
    four = dark_behind("X", more=3)
    assert four[0].partition(" findings go and ")[2] == (
        f"4 come (reach of K2, a fail; reach of K3, a fail; reach of K4, a fail; 1 more); {AGAIN}"
    )
