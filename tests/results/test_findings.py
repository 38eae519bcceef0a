"""Findings in the order in which they are shown: the worst first, behind each what follows from it."""

from dataclasses import replace

import pytest

from auditor.results.findings import Finding, Level, causes_first, consequences, fault_of


def finding(name: str, level: Level, *because: str) -> Finding:
    return Finding(rule="reach", level=level, subject=name, message=name, id=name, because=because)


F, R, N = Level.FAIL, Level.REVIEW, Level.NOTE


def test_a_group_is_as_bad_as_its_worst_and_what_follows_stands_behind_its_cause() -> None:
    findings = [
        finding("note", N),
        finding("alone", R),
        finding("mild cause", R),
        finding("cause", F),
        finding("review of cause", R, "cause"),
        finding("fail of cause", F, "cause"),
        finding("fail of mild cause", F, "mild cause"),
    ]
    assert [each.id for each in causes_first(findings)] == [
        "mild cause", "fail of mild cause", "cause", "fail of cause", "review of cause", "alone", "note",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("because", "accepted", "cause"),
    [
        (("a", "b"), (), "a"),
        (("b", "a"), (), "b"),
        (("not listed", "b"), (), "b"),
        (("a", "b"), ("a",), "b"),
        (("a",), ("a",), None),
        (("not listed",), (), None),
        ((), (), None),
    ],
)
def test_a_finding_follows_from_its_first_cause_that_is_listed_and_not_accepted(
    because: tuple[str, ...], accepted: tuple[str, ...], cause: str | None
) -> None:
    causes = [
        replace(finding(name, R), accepted="R. Amann: surveyed" if name in accepted else None)
        for name in "ab"
    ]
    assert consequences([*causes, finding("c", F, *because)]) == ({"c": cause} if cause else {})


def test_the_fault_is_told_without_what_to_do_about_it() -> None:
    both = replace(finding("K1", F), message="K1 is not fed; add a pull; or correct it")
    assert fault_of(both) == "K1 is not fed"
    assert fault_of(replace(both, message="K1 is not fed")) == "K1 is not fed"
