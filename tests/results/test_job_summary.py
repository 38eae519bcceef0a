"""What a batch keeps of a job: counts of its rows, and the finding that its line shows."""

from dataclasses import replace

from auditor.audit import audit
from auditor.results.audit_result import Audit, ChoiceResult, QuestionResult
from auditor.results.findings import Finding, Level
from auditor.results.job_summary import job_summary
from tests.builders import device, job, profile, pull

FT = 0.3048
PULLS = [
    pull("C1.1", "K1", 100),
    pull("K1", "K2", 50),
    pull("K2", "K3", None),
    pull("K3", "K4", 40, cable="OTHER"),
    pull("K4", "K5", None, cable="OTHER"),
    pull("K5", "K6", 10, cable=None),
]
DEVICES = [device("K1", quantity=3), *(device(f"K{n}") for n in range(2, 7))]
RESULT = audit(job(PULLS, DEVICES), profile())
ONLY_CAB = tuple(each for each in RESULT.cut_lists if each.cable == "CAB")


def test_rows_are_counted() -> None:
    summary = job_summary(replace(RESULT, cut_lists=ONLY_CAB))
    assert summary.device_count == 3 + 5
    assert summary.cable_m is not None
    assert round(summary.cable_m, 6) == round((100 + 50 + 40 + 10) * FT, 6)
    assert summary.pulls_without_length == 2
    assert (summary.unlisted_pulls, summary.unlisted_without_length) == (3, 1)


def test_pulls_that_name_no_cable_are_listed_under_a_name_of_their_own() -> None:
    listed = {each.cable for each in RESULT.cut_lists}
    assert listed == {"CAB", "OTHER", "cable not stated"}
    assert job_summary(RESULT).unlisted_pulls == 0


def test_without_any_length_the_cable_is_not_known() -> None:
    assert job_summary(replace(RESULT, pulls=RESULT.pulls[2:3])).cable_m is None


def test_the_open_questions_are_kept() -> None:
    choices = tuple(ChoiceResult(answer=each, leads_to=each) for each in ("ft", "m"))
    open_ = QuestionResult(id="unit-00000001", sentence="ft or m?", choices=choices)
    answered = replace(open_, id="unit-00000002", answered="ft")
    assert job_summary(replace(RESULT, questions=(open_, answered))).questions == (open_,)


def test_the_line_shows_a_cause_and_neither_a_note_nor_what_is_accepted() -> None:
    def finding(name: str, level: Level, *because: str, accepted: str | None = None) -> Finding:
        return Finding(
            rule="reach", level=level, subject=name, message=name, id=name, because=because, accepted=accepted
        )

    def worst(*findings: Finding) -> str | None:
        result: Audit = replace(RESULT, findings=findings)
        found = job_summary(result).worst()
        return found.subject if found else None

    note, review = finding("note", Level.NOTE), finding("review", Level.REVIEW)
    accepted = finding("accepted", Level.REVIEW, accepted="R. Amann: surveyed")
    follows = finding("follows", Level.FAIL, "review")
    assert worst(note, accepted) is None
    assert worst(note, accepted, review) == "review"
    assert worst(follows, review) == "review"
    assert worst(review, finding("fail", Level.FAIL)) == "fail"
