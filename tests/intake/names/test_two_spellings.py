"""Two spellings of a tag that are both fed: one device, or a device and a joint that is called much alike."""

from auditor.intake import read_jobs
from auditor.job.model import Job
from tests.intake.workbooks import ends_of, workbook

SHADES = [["Tag", "Power (W)"], *([tag, 1.2] for tag in ("J1", "J2", "S3", "S4"))]
HEADINGS = ["From", "To", "Length (m)"]
JOINTS = [
    HEADINGS,
    ["C1.1", "J1", 19],
    ["J1", "J2", 9],
    ["J2", "J-1", 9.5],
    ["J-1", "S3", 6.5],
    ["J-1", "J-5", 4],
    ["J-5", "S4", 8],
]


def _jobs(pulls: list[list[object]], **answers: str) -> list[Job]:
    return list(read_jobs(workbook({"Devices": SHADES, "Pulls": pulls}), "a.xlsx", answers=answers))


def test_it_is_asked_and_nothing_is_judged_until_it_is_answered() -> None:
    (job,) = _jobs(JOINTS)
    (closing,) = [remark for remark in job.remarks if remark.closes]
    assert closing.question is not None
    assert closing.question.sentence == (
        "'J-1' and J1 are spelled alike, and pulls lead to both: is 'J-1' that device, or a joint?"
    )
    assert [choice.answer for choice in closing.question.choices] == ["a joint", "that device"]
    assert not job.pulls


def test_answered_that_they_are_joints() -> None:
    (job,) = _jobs(JOINTS)
    (answered,) = _jobs(JOINTS, **{job.questions[0].id: "a joint"})
    assert ends_of(answered)[2:] == [("J2", "J-1"), ("J-1", "S3"), ("J-1", "J-5"), ("J-5", "S4")]
    assert answered.splices == {"J-1", "J-5"}
    assert not answered.questions


def test_answered_that_it_is_the_device() -> None:
    pulls = JOINTS[:5]
    (job,) = _jobs(pulls)
    (answered,) = _jobs(pulls, **{job.questions[0].id: "that device"})
    assert ends_of(answered)[2:] == [("J2", "J1"), ("J1", "S3")]
    assert not answered.questions


def test_a_device_fed_under_one_spelling_and_feeding_under_another_is_not_asked_about() -> None:
    pulls = [HEADINGS, ["C1.1", "J1", 19], ["J-1", "J2", 9], ["J2", "S3", 9], ["S3", "S-4", 9]]
    (job,) = _jobs(pulls)
    assert ends_of(job)[1] == ("J1", "J2")
    assert not job.questions


def test_a_pull_that_stands_twice_in_two_spellings_is_not_asked_about() -> None:
    pulls = [HEADINGS, ["C1.1", "J1", 19], ["C1.1", "J-1", 19], ["J1", "J2", 9], ["J2", "S3", 9]]
    (job,) = _jobs(pulls)
    assert ends_of(job)[:2] == [("C1.1", "J1"), ("C1.1", "J1")]
    assert not job.questions
