"""How ports are counted, and which of them a controller cannot have."""

import pytest

from auditor.bus.ports import beyond, counted, places


@pytest.mark.parametrize(
    ("ports", "expected"),
    [
        (["2", "1", "0"], [1, 0, -1]),
        (["A", "b", "H"], [0, 1, 7]),
        (["X", "Y"], [0, 0]),  # names, no letters that count
        (["A", "X"], [0, 0]),
        (["1", "A"], [0, 0]),
        (["BC"], [0]),  # stands in the alphabet, and is no letter
        ([], []),
    ],
)
def test_the_place_of_each_port(ports: list[str], expected: list[int]) -> None:
    assert places(ports) == expected


def test_ports_below_the_first_and_above_the_last_are_beyond() -> None:
    assert beyond(["0", "1", "2", "3"], 2) == [True, False, False, True]


@pytest.mark.parametrize(
    ("like", "count", "first"),
    [
        (["1", "7"], 2, ["1", "2"]),
        (["A", "c"], 3, ["A", "B", "C"]),
        (["A", "1"], 2, ["1", "2"]),
        (["X"], 2, ["1", "2"]),
        (["AB"], 2, ["1", "2"]),
        ([], 1, ["1"]),
    ],
)
def test_first_ports_are_counted_like_others(like: list[str], count: int, first: list[str]) -> None:
    assert counted(like, count) == first
