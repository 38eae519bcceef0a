"""Answers in an annotated copy become a layout that later workbooks of the office are read by."""

from pathlib import Path
from typing import Any

import pytest

from auditor.intake import read_jobs
from auditor.job.model import Question
from tests.batch.answering import B, answer, asking
from tests.batch.runs import results, run
from tests.intake.workbooks import workbook

HEAD = ["Venp", "Tamf", "Drus", "Gix"]
NOTE = {"Notes": [["All lengths in ft"]]}


def office(*rows: list[Any]) -> bytes:
    """A job under headings that say nothing, which is asked about."""
    return workbook({"Sheet one": [HEAD, *rows], **NOTE})


FIRST = office(
    ["Hall", "KP-1", "C1.1", 54],
    ["Hall", "KP-2", "C1.1", 21],
    ["Bar", "KP-3", "C1.2", 61],
    ["Bar", "KP-4", "C1.2", 40],
)
LATER = office(["Attic", "KP-7", "C4.1", 33], ["Attic", "KP-8", "C4.1", 12], ["Roof", "KP-9", "C4.2", 25])


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """(a folder of workbooks, one for what comes out)"""
    (tmp_path / "in").mkdir()
    return tmp_path / "in", tmp_path / "out"


def best(data: bytes) -> Question:
    (one,) = [one for one in read_jobs(data, "a.xlsx")[0].questions if one.id.startswith("list-of-pulls")]
    return one


def test_a_later_workbook_of_the_office_is_read_without_a_question(
    folders: tuple[Path, Path], tmp_path: Path
) -> None:
    source, out = folders
    (source / "first.xlsx").write_bytes(FIRST)
    run("check", source, "--out", out)
    answer(out / "first.audited.xlsx", {"list-of-pulls": best(FIRST).choices[0].answer})
    later = tmp_path / "later"
    done = run("layout", out / "first.audited.xlsx", "--into", later)
    assert (done.returncode, done.stderr) == (0, "")
    assert f"wrote {later / 'first.layout.json'}: 1 of 1 answer held" in done.stdout
    (later / "second.xlsx").write_bytes(LATER)
    run("check", later, "--out", tmp_path / "then")
    (result,) = results(tmp_path / "then")
    assert [one["id"] for one in result["questions"] if one["id"].startswith("list-of-pulls")] == []
    assert sorted({r["port"] for r in result["runs"]}) == ["1", "2"]


def test_an_answer_that_a_layout_cannot_hold_is_said(folders: tuple[Path, Path]) -> None:
    source, out = folders
    (source / "lodge.xlsx").write_bytes(asking())
    run("check", source, "--out", out)
    answer(out / "lodge.audited.xlsx", {"length": B, "status": "landed"})
    done = run("layout", out / "lodge.audited.xlsx", "--out", out / "lodge.layout.json")
    assert done.returncode == 0
    assert "1 of 2 answers held; not held, a later workbook asks it again: " in done.stdout
    assert "hold" in done.stdout.rpartition("asks it again: ")[2]


def test_two_copies_that_contradict_each_other_write_nothing(
    folders: tuple[Path, Path], tmp_path: Path
) -> None:
    source, out = folders
    for name, choice in (("one", 0), ("two", 1)):
        (source / f"{name}.xlsx").write_bytes(FIRST)
        run("check", source, "--out", out)
        answer(out / f"{name}.audited.xlsx", {"list-of-pulls": best(FIRST).choices[choice].answer})
    done = run("layout", out / "one.audited.xlsx", out / "two.audited.xlsx", "--into", tmp_path / "later")
    assert done.returncode != 0
    assert (
        "one.layout.json and two.layout.json read the headings 'Venp', 'Tamf', 'Drus', 'Gix' in two ways"
        in done.stderr
    )
    assert not (tmp_path / "later").exists()


def test_one_layout_is_written_to_one_file(folders: tuple[Path, Path]) -> None:
    source, out = folders
    (source / "first.xlsx").write_bytes(FIRST)
    done = run("layout", source / "first.xlsx", source / "first.xlsx", "--out", out)
    assert done.returncode != 0
    assert "name one workbook, or a folder with --into" in done.stderr


@pytest.mark.parametrize("copy", ["first.ods.audited.xlsx", "first.audited-2.xlsx", "first.xlsx"])
def test_a_layout_is_called_after_the_workbook_and_not_its_copy(copy: str, tmp_path: Path) -> None:
    (tmp_path / copy).write_bytes(FIRST)
    done = run("layout", tmp_path / copy, "--into", tmp_path / "later")
    assert done.returncode == 0
    assert [path.name for path in (tmp_path / "later").iterdir()] == ["first.layout.json"]
