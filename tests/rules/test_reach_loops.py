"""The distance between two devices where a run has a loop: the shortest way, the longest where loops are allowed."""

import pytest

from auditor.job.model import Job
from tests.builders import found, job, profile, pull

LIMIT = {"run__between_devices": "300 m", "run__reach": None}  # 984.25 ft
FIX = "feed one of them from another port"


def ring(*feet: float) -> Job:
    return job([pull("C1.1", "K1", feet[0]), pull("K1", "K2", feet[1]), pull("K2", "C1.1", feet[2])])


CASES: list[tuple[str, Job, str, list[str]]] = [
    (
        "K1 is 1,100 ft from its port round by K2",
        ring(10, 500, 600),
        "allowed",
        [
            "K1 and its port C1.1 are, by the longest way round the loop, 1,100 ft of cable apart, 115.7 ft over the limit "
            f"of 984.3 ft; {FIX}"
        ],
    ),
    ("510 ft are the shortest way to K2", ring(10, 500, 600), "forbidden", []),
    (
        "1,010 ft are the shortest way to K2",
        ring(10, 1000, 1100),
        "forbidden",
        [
            f"K2 and its port C1.1 are at least 1,010 ft of cable apart, 25.7 ft over the limit of 984.3 ft; {FIX}"
        ],
    ),
    (
        "without a loop there is one way",
        job([pull("C1.1", "K1", 500), pull("C1.1", "K2", 510)]),
        "allowed",
        [f"K1 and K2 on C1.1 are 1,010 ft of cable apart, 25.7 ft over the limit of 984.3 ft; {FIX}"],
    ),
]


@pytest.mark.parametrize(("what", "a_job", "loops", "messages"), CASES, ids=[row[0] for row in CASES])
def test_distance_between_devices_with_loops(what: str, a_job: Job, loops: str, messages: list[str]) -> None:
    assert [each.message for each in found("reach", a_job, profile(loops=loops, **LIMIT))] == messages
