"""What is said of an acceptance whose finding is not there any more."""

import pytest

from auditor.audit import audit
from auditor.job.acceptances import Acceptance
from auditor.results.accepted import with_left_acceptances
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level, Verdict
from tests.builders import job, profile, pull

# A run on C1.1 with a splice, and a branch without a port on cable that is named nowhere else.
PULLS = [pull("C1.1", "SP1", id="P1"), pull("SP1", "K1", id="P2"), pull("PANEL", "K2", id="P3", cable="THIN")]
NAMED = audit(job(PULLS, splices=["SP1"], head_ends=["PANEL"]), profile())
SOUND = audit(job([pull("C1.1", "K1")]), profile())
BLANK = audit(job([pull("C1.1", "K1", None)]), profile())


def accepted(subject: str, **more: str) -> Acceptance:
    words = {"id": "reach-00000000", "message": "It is 470 ft away", "by": "R. Amann", "because": "surveyed"}
    return Acceptance(subject=subject, **words | more)  # type: ignore[arg-type]


def told(audits: list[Audit], *typed: Acceptance) -> list[list[Finding]]:
    """What is said beyond the findings, of each audit."""
    found = with_left_acceptances(audits, {each.id: each for each in typed})
    return [list(after.findings[len(before.findings) :]) for before, after in zip(audits, found, strict=True)]


@pytest.mark.parametrize("subject", ["job", "K1", "C1.1", "C1", "P2", "SP1", "PANEL", "CAB", "THIN"])
def test_of_a_subject_that_is_there_it_is_a_note(subject: str) -> None:
    ((note,),) = told([NAMED], accepted(subject))
    assert (note.level, note.subject, note.rule) == (Level.NOTE, subject, "acceptance")
    assert note.message == (
        "What R. Amann accepted is not found any more; clear the two cells beside it. It was: It is 470 ft away"
    )


def test_of_a_subject_that_is_gone_it_is_a_review() -> None:
    typed = accepted("K9")
    ((review,),) = told([NAMED], typed)
    assert (review.level, review.id, review.typed) == (Level.REVIEW, typed.id, typed)
    assert review.message == (
        "What R. Amann accepted is not found any more, nor is 'K9'; clear the two cells beside it. "
        "It was: It is 470 ft away"
    )


def test_without_a_name_it_is_somebody_and_what_was_said_before_is_not_repeated() -> None:
    message = "What R. Amann accepted is not found any more; clear the two cells. It was: K1 is far"
    ((note,),) = told([NAMED], accepted("K1", by="", message=message))
    assert note.message == (
        "What somebody accepted is not found any more; clear the two cells beside it. It was: K1 is far"
    )


def test_it_is_said_in_the_first_job_of_the_workbook_and_names_of_any_job_are_there() -> None:
    first = audit(job([pull("C7.1", "M1")]), profile())
    (note, review), nothing = told([first, NAMED], accepted("K1"), accepted("K9", id="reach-1"))
    assert (note.level, review.level, nothing) == (Level.NOTE, Level.REVIEW, [])


def test_of_a_finding_that_is_there_or_had_no_words_nothing_is_said() -> None:
    there = BLANK.findings[0]
    assert told([NAMED, BLANK], accepted(there.subject, id=there.id)) == [[], []]
    assert told([NAMED], accepted("K9", message="")) == [[]]


@pytest.mark.parametrize(
    ("first", "subject", "verdict"),
    [
        (SOUND, "K1", Verdict.PASS),
        (SOUND, "K9", Verdict.REVIEW),
        (BLANK, "K1", Verdict.REVIEW),
        (audit(job([pull("C1.1", "K1", 1200)]), profile()), "K9", Verdict.FAIL),
    ],
    ids=["a note", "a review", "a note beside a review", "a review beside a fail"],
)
def test_the_worse_of_what_was_and_what_is_said_is_the_verdict(
    first: Audit, subject: str, verdict: Verdict
) -> None:
    (after,) = with_left_acceptances([first], {"x": accepted(subject, id="x")})
    assert after.verdict is verdict
