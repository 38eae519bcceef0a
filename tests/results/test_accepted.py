"""Ids of findings stay while figures change, and an acceptance counts for the figure it was given for."""

from dataclasses import replace

import pytest

from auditor.job.acceptances import Acceptance
from auditor.results.accepted import with_acceptances, with_ids
from auditor.results.findings import Finding, Level

FT = 0.3048
REACH = Finding(
    rule="reach",
    level=Level.REVIEW,
    subject="K1",
    message="K1 is 470 ft away",
    measured=470.0,
    limit=500.0,
    unit="m",
)
BLANK = Finding(rule="missing-value", level=Level.REVIEW, subject="K1", message="K1 has no power in row 7")


def ids(*findings: Finding, part: str | None = None) -> list[str]:
    return [each.id for each in with_ids(findings, part)]


def test_an_id_stays_with_other_figures_words_of_a_figure_and_rows() -> None:
    assert ids(REACH) == ids(replace(REACH, measured=505.0, message="K1 is past the limit", level=Level.FAIL))
    assert ids(BLANK) == ids(replace(BLANK, message="K1 has no power in row 12"))


def test_ids_differ_by_rule_subject_part_and_what_is_missing() -> None:
    others = [
        replace(BLANK, rule="unreadable-value"),
        replace(BLANK, subject="K2"),
        replace(BLANK, message="K1 has no room in row 7"),
        BLANK,
    ]
    found = ids(BLANK, *others)
    assert len(set(found)) == len(found)
    assert found[-1] == f"{found[0]}-2"
    assert ids(BLANK, part="Building B") != ids(BLANK)
    assert ids(REACH) != ids(replace(REACH, unit="V")) != ids(replace(REACH, unit=None))


def test_a_further_finding_has_an_id_that_no_known_one_has() -> None:
    first, second = with_ids([BLANK, BLANK], None)
    (third,) = with_ids([BLANK], None, known=[first, second])
    assert (second.id, third.id) == (f"{first.id}-2", f"{first.id}-3")
    (between,) = with_ids([BLANK], None, known=[second])
    assert between.id == first.id


def with_acceptance(
    finding: Finding, measured: float | None = 470.0, limit: float | None = 500.0, fault: str = ""
) -> Finding:
    """The finding, accepted when it had this figure and this limit."""
    (known,) = with_ids([finding], None)
    typed = Acceptance(
        id=known.id, subject="K1", message="", by="R. Amann", because="surveyed", measured=measured,
        limit=limit, fault=fault,
    )  # fmt: skip
    (found,) = with_acceptances([known], {typed.id: typed}, "ft")
    return found


@pytest.mark.parametrize(
    ("changes", "counts"),
    [
        ({}, True),
        ({"measured": 460.0}, True),
        ({"measured": 470.1}, False),
        ({"measured": None}, False),
        ({"limit": 480.0}, False),
        ({"limit": 520.0}, True),
        ({"limit": None}, True),
        ({"limit": None, "measured": 480.0}, False),
        ({"measured": 480.0, "limit": 520.0}, False),
        ({"measured": 460.0, "limit": 490.0}, True),  # as far from its limit as it was
        ({"measured": 460.0, "limit": 489.0}, False),
        # A change within a millionth of the figure, 0.47 mm here, is none.
        ({"measured": 470.0004}, True),
        ({"measured": 470.0006}, False),
        ({"unit": "V", "measured": 480.0}, True),
        ({"unit": "V", "measured": 460.0}, False),
        ({"unit": "V", "measured": 469.9996}, True),
        ({"unit": "V", "measured": 469.9994}, False),
        ({"unit": "V", "limit": 490.0}, True),
        ({"unit": "V", "limit": 510.0}, False),
        ({"unit": "V", "measured": 480.0, "limit": 510.0}, True),
    ],
)
def test_an_acceptance_counts_until_the_figure_gets_worse(changes: dict[str, object], counts: bool) -> None:
    found = with_acceptance(replace(REACH, **changes))  # type: ignore[arg-type]
    assert (found.accepted == "R. Amann: surveyed") is counts
    assert bool(found.refused) is not counts


def test_a_figure_of_nothing_gets_worse_by_any_amount() -> None:
    assert with_acceptance(replace(REACH, measured=0.0), 0.0).accepted
    assert with_acceptance(replace(REACH, measured=1e-9), 0.0).refused


def test_what_was_accepted_without_a_figure_or_without_a_limit() -> None:
    assert with_acceptance(REACH, None, None).accepted
    assert with_acceptance(BLANK, None, None).accepted
    assert with_acceptance(REACH, limit=None).accepted
    assert with_acceptance(replace(REACH, measured=480.0), limit=None).refused


@pytest.mark.parametrize(
    ("finding", "fault", "refused"),
    [
        (replace(REACH, level=Level.FAIL), "", "a fail cannot be accepted"),
        (replace(REACH, level=Level.NOTE), "", "a note needs no acceptance"),
        (replace(REACH, question="unit-00000000"), "", "it asks; answer it on the sheet of questions"),
        (REACH, "who accepts it is missing", "who accepts it is missing"),
        (
            replace(REACH, measured=505 * FT),
            "",
            "it was accepted at 470 ft and is 505 ft now; mend it, or accept it in other words",
        ),
        (
            replace(REACH, measured=None),
            "",
            "it was accepted at 470 ft and is no figure now; mend it, or accept it in other words",
        ),
        (
            replace(REACH, unit="V", measured=22.4567),
            "",
            "it was accepted at 143.26 V and is 22.46 V now; mend it, or accept it in other words",
        ),
        (
            replace(REACH, unit=None, measured=144.0),
            "",
            "it was accepted at 143.26 and is 144 now; mend it, or accept it in other words",
        ),
    ],
)
def test_why_an_acceptance_does_not_count(finding: Finding, fault: str, refused: str) -> None:
    found = with_acceptance(finding, 470 * FT, 500 * FT, fault)  # 143.256 m
    assert (found.refused, found.accepted) == (refused, None)
