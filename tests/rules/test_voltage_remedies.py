"""What a finding about a run's voltage says of the changes that would mend it; how they are found: tests/plans/."""

import pytest

from auditor.bus.measure import Bus
from auditor.plans.plans import Plans, Way
from auditor.results.findings import Level
from auditor.rules.voltage import check, further_remedies
from tests.builders import measured
from tests.rules.test_voltage import COLD, run

MENDS = Way(sentence="16 AWG on P1")
LEAVES_IT_LOW = Way(sentence="14 AWG on P2", low="then down to 20 V, to review")
LEAVES_FAILS = Way(sentence="move K1", left=("power", "reach"))


def too_much() -> Bus:
    """More than the cable of its only run delivers at any voltage."""
    return measured(run(14.5), COLD)


@pytest.mark.parametrize(
    ("ways", "fix"),
    [
        ((), "no single change is enough, split the run"),
        ((MENDS, LEAVES_FAILS), "to mend it: 16 AWG on P1"),
        ((LEAVES_IT_LOW, MENDS), "to mend it: 14 AWG on P2, then down to 20 V, to review"),
        ((LEAVES_FAILS, MENDS), "to restore its voltage, power and reach still failing: move K1"),
    ],
)
def test_the_first_way_stands_in_the_finding(ways: tuple[Way, ...], fix: str) -> None:
    bus = too_much()
    (fail,) = [f for f in check(bus, Plans(remedies={id(bus.runs[0]): ways})) if f.level is Level.FAIL]
    assert fail.message == (
        "The 14.5 W of C1.1 cannot be delivered at any voltage; its cable could deliver 14.4 W at most; "
        + fix
    )


def test_the_other_ways_are_notes() -> None:
    bus = too_much()
    ways = {id(bus.runs[0]): (MENDS, LEAVES_IT_LOW, LEAVES_FAILS)}
    assert [(note.level, note.message) for note in further_remedies(bus, Plans(remedies=ways))] == [
        (Level.NOTE, "C1.1 could also be mended this way: 14 AWG on P2, then down to 20 V, to review"),
        (Level.NOTE, "C1.1 could also have its voltage, power and reach still failing, this way: move K1"),
    ]


def test_of_a_run_for_which_nothing_was_sought_no_way_is_noted() -> None:
    assert list(further_remedies(too_much(), Plans())) == []
