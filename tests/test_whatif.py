"""What if: a limit, a reel or a cable changed for one look; no workbook is touched and nothing is written."""

import hashlib
from pathlib import Path

import pytest
from typer.testing import CliRunner

from auditor.cli import app
from auditor.errors import AuditorError
from auditor.results.findings import Level
from auditor.whatif import Changes, comparison, parse_changes
from tests.report.audits import audit, finding

SAMPLE = Path(__file__).parent.parent / "sample_workbooks" / "saltmarrow_clinic.xlsx"


def tried(*changes: str) -> tuple[int, str]:
    arguments = [word for change in changes for word in ("--try", change)]
    done = CliRunner().invoke(app, ["check", str(SAMPLE), *arguments])
    return done.exit_code, done.output


def test_off_spec_cable_replaced_mends_the_clinic() -> None:
    code, said = tried("cable TP-18S=to specification")

    assert code == 0
    assert "verdict fail -> pass" in said
    assert "findings that count 14 -> 0" in said


def test_a_cable_of_the_job_can_stand_for_another() -> None:
    assert "verdict fail -> pass" in tried("cable TP-18S=TP-16")[1]


def test_the_findings_that_go_and_those_that_come_are_named() -> None:
    old, new = (
        audit(findings=tuple(finding(level=level, subject=tag) for level, tag in found))
        for found in (
            [(Level.REVIEW, "K1"), (Level.FAIL, "K2"), (Level.FAIL, "K2"), (Level.NOTE, "K3")],
            [(Level.FAIL, "K1"), (Level.FAIL, "K2"), *((Level.REVIEW, f"K{n}") for n in range(10, 24))],
        )
    )
    first, *lines = comparison([old], [new], Changes())
    assert first.startswith("gull/cottage.xlsx: verdict pass; findings that count 3 -> 16;")
    assert lines == [
        "    gone  fail    reach: K2",
        "    gone  review  reach: K1",
        "    new   fail    reach: K1",
        *(f"    new   review  reach: K{n}" for n in range(10, 21)),
        "    new   and 3 more",
    ]


def test_a_change_that_no_profile_can_take_is_not_laid_at_the_profiles_door() -> None:
    done = CliRunner().invoke(app, ["check", str(SAMPLE), "--try", "run.reach=banana"])

    assert str(done.exception) == '--try: run.reach: wanted text such as 2000 ft or 12 in, not "banana"'


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ("off_spec_factor=NaN", "--try: off_spec_factor: wanted a number, not nan"),
        ("loops.x=1", "--try: loops.x: loops is no group of fields; give loops as a whole"),
    ],
)
def test_the_whole_sentence_on_a_change_is_told(change: str, sentence: str) -> None:
    done = CliRunner().invoke(app, ["check", str(SAMPLE), "--try", change])

    assert str(done.exception) == sentence


def test_a_limit_and_a_reel_size() -> None:
    _, said = tried("run.reach=2000 ft", "cutting.reels=2500 ft")

    assert "verdict fail;" in said
    assert "cable bought 2,500 ft -> 5,000 ft" in said


def test_nothing_is_written_and_the_workbook_is_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = hashlib.sha256(SAMPLE.read_bytes()).hexdigest()
    monkeypatch.chdir(tmp_path)
    tried("run.reach=900 ft")

    assert list(tmp_path.iterdir()) == []
    assert hashlib.sha256(SAMPLE.read_bytes()).hexdigest() == before


def test_parsing() -> None:
    assert parse_changes(["run.devices=60", "cutting.reels=500 ft, 1000 ft", "cable A B=C"]) == Changes(
        fields={"run.devices": 60, "cutting.reels": [{"length": "500 ft"}, {"length": "1000 ft"}]},
        cables={"A B": "C"},
    )


@pytest.mark.parametrize("text", ["run.reach", "=3", ""])
def test_what_is_no_change_is_said_with_examples(text: str) -> None:
    with pytest.raises(AuditorError, match="wanted KEY=VALUE"):
        parse_changes([text])


def test_a_field_that_no_profile_has_is_named() -> None:
    done = CliRunner().invoke(app, ["check", str(SAMPLE), "--try", "run.lenght=3 ft"])

    assert "unknown field 'lenght'" in str(done.exception)


def test_a_cable_that_the_job_does_not_have_is_said() -> None:
    assert "has no cable 'TP-99' to replace it with" in tried("cable TP-18S=TP-99")[1]


def test_a_cable_that_no_job_has_is_a_slip() -> None:
    done = CliRunner().invoke(app, ["check", str(SAMPLE), "--try", "cable TP18S=to specification"])

    assert "no job here has a cable 'TP18S'; they have TP-16, TP-18S" in str(done.exception)


def test_percentages_may_be_typed_as_such() -> None:
    assert parse_changes(["review_above=80 %", "cutting.waste=7.5%"]).fields == {
        "review_above": 0.8,
        "cutting.waste": 0.075,
    }


def test_what_the_schedule_states_itself_is_said_and_that_nothing_changes() -> None:
    said = tried("controller.supply_power=60 W", "run.reach=990 ft")[1]
    assert "controller.supply_power: the schedule states its own on the sheet " in said
    assert "run.reach: " not in said
    assert "no effect: no figure of this job changes" not in said
    assert "no effect: no figure of this job changes" in tried("controller.supply_power=60 W")[1]


def test_a_profile_shows_the_keys_that_a_try_takes() -> None:
    listed = CliRunner().invoke(app, ["profiles"]).output
    assert "  run.reach                   port to farthest device, at most               1,000 ft" in listed
    for line in listed.splitlines():
        assert len(line) <= 132
