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


@pytest.mark.parametrize(
    ("changes", "counts"),
    [
        ({}, True),
        ({"measured": 460.0}, True),
        ({"measured": 470.1}, False),
        ({"measured": None}, False),
        ({"limit": 480.0}, False),
        ({"limit": 520.0}, True),
        ({"level": Level.FAIL}, False),
        ({"level": Level.NOTE}, False),
        ({"question": "unit-00000000"}, False),
        ({"unit": "V", "measured": 480.0}, True),
        ({"unit": "V", "measured": 460.0}, False),
    ],
)
def test_an_acceptance_counts_until_the_figure_gets_worse(changes: dict[str, object], counts: bool) -> None:
    (finding,) = with_ids([replace(REACH, **changes)], None)  # type: ignore[arg-type]
    typed = Acceptance(
        id=finding.id,
        subject="K1",
        message="",
        by="R. Amann",
        because="surveyed",
        measured=470.0,
        limit=500.0,
    )
    (found,) = with_acceptances([finding], {typed.id: typed}, "ft")
    assert (found.accepted == "R. Amann: surveyed") is counts
    assert bool(found.refused) is not counts


def test_what_got_worse_is_told_in_the_schedules_unit() -> None:
    (finding,) = with_ids([replace(REACH, measured=505 * FT)], None)
    typed = Acceptance(
        id=finding.id, subject="K1", message="", by="A", because="b", measured=470 * FT, limit=500 * FT
    )
    (found,) = with_acceptances([finding], {typed.id: typed}, "ft")
    assert (
        found.refused == "it was accepted at 470 ft and is 505 ft now; mend it, or accept it in other words"
    )
