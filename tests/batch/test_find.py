"""Which files are jobs, what the others are called, and where copies go."""

import os
import socket
from pathlib import Path

import pytest

from auditor.batch.find import find_jobs
from auditor.batch.names import LONGEST_NAME, Names
from auditor.errors import AuditorError

posix = pytest.mark.skipif(os.name == "nt", reason="names and kinds of files that Windows does not have")


def found(*paths: Path, out: Path | None = None) -> dict[str, str]:
    """Name -> the copy's place, or why it is passed over."""
    return {each.name: each.output or f"({each.skipped})" for each in find_jobs(paths, out)}


def files(folder: Path, *names: str) -> Path:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"")
    return folder


def test_every_kind_of_workbook_in_every_folder_in_the_order_of_names(tmp_path: Path) -> None:
    names = [
        "z.xlsx",
        "B.xlsm",
        "a.xls",
        "deep/er/c.ODS",
        "d.xlsb",
        "e.csv",
        "f.tsv",
        "g.xltx",
        "h.xltm",
        "i.xlt",
        "j.ots",
    ]
    files(tmp_path, *names, "notes.pdf", "letter.docx", "~$z.xlsx", ".hidden.xlsx", ".git/x.xlsx")
    assert found(tmp_path) == {
        "a.xls": "a.xls.audited.xlsx",
        "B.xlsm": "B.audited.xlsm",
        "d.xlsb": "d.xlsb.audited.xlsx",
        "deep/er/c.ODS": "deep/er/c.ODS.audited.xlsx",
        "e.csv": "e.csv.audited.xlsx",
        "f.tsv": "f.tsv.audited.xlsx",
        "g.xltx": "g.audited.xltx",
        "h.xltm": "h.audited.xltm",
        "i.xlt": "i.xlt.audited.xlsx",
        "j.ots": "j.ots.audited.xlsx",
        "z.xlsx": "z.audited.xlsx",
    }
    assert list(found(tmp_path)) == sorted(names, key=str.casefold)


def test_a_single_file_may_be_called_anything(tmp_path: Path) -> None:
    assert found(files(tmp_path, "job.bak") / "job.bak") == {"job.bak": "job.bak.audited.xlsx"}


def test_several_places_are_named_from_the_folder_that_holds_them(tmp_path: Path) -> None:
    files(tmp_path, "north/job.xlsx", "south/job.xlsx", "own.xlsx")
    north, own = tmp_path / "north", tmp_path / "own.xlsx"
    expected = {
        "north/job.xlsx": "north/job.audited.xlsx",
        "own.xlsx": "own.audited.xlsx",
        "south/job.xlsx": "south/job.audited.xlsx",
    }
    assert found(tmp_path / "south", north, own, north / "job.xlsx") == expected
    assert found(tmp_path) == expected


def test_what_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(AuditorError, match="no such file or folder; give a workbook or a folder"):
        found(tmp_path / "jobs")


def test_outputs_are_no_inputs_in_the_same_run_and_in_later_ones(tmp_path: Path) -> None:
    files(
        tmp_path,
        "a.xlsx",
        "out/a.audited.xlsx",
        "out/summary.xlsx",
        "out/results.jsonl",
        "out/x/b.audited.xlsx",
    )
    assert list(found(tmp_path, out=tmp_path / "out")) == ["a.xlsx"]
    assert list(found(tmp_path, out=tmp_path / "other")) == ["a.xlsx"]
    files(tmp_path, "killed/c.audited-2.xlsx", "killed/.auditor.lock")
    assert list(found(tmp_path, out=tmp_path / "other")) == ["a.xlsx"]


def test_an_annotated_copy_dropped_in_again_is_a_job_unless_its_original_is_there(tmp_path: Path) -> None:
    files(tmp_path, "a.audited.xlsx", "b.audited.xlsx", "b.xlsx", "c.csv", "c.csv.audited-new.xlsx")
    assert found(tmp_path) == {
        "a.audited.xlsx": "a.audited.xlsx",
        "b.audited.xlsx": "(the annotated copy of b.xlsx, which is audited itself)",
        "b.xlsx": "b.audited.xlsx",
        "c.csv": "c.csv.audited.xlsx",
        "c.csv.audited-new.xlsx": "(the annotated copy of c.csv, which is audited itself)",
    }
    out = files(tmp_path / "out", "d.audited.xlsx", "summary.xlsx", "results.jsonl")
    assert found(out) == {"d.audited.xlsx": "d.audited.xlsx"}


@posix
def test_links_pipes_and_other_things_are_passed_over_at_once(tmp_path: Path) -> None:
    outside = files(tmp_path / "outside", "secret.xlsx")
    jobs = files(tmp_path / "jobs", "a.xlsx")
    (jobs / "loop").symlink_to(jobs)
    (jobs / "link.xlsx").symlink_to(outside / "secret.xlsx")
    (jobs / "nowhere.xlsx").symlink_to(outside / "gone.xlsx")
    (jobs / "elsewhere").symlink_to(outside)
    (jobs / "11.xlsx").mkdir()
    os.mkfifo(jobs / "pipe.xlsx")
    with socket.socket(socket.AF_UNIX) as end:
        before = Path.cwd()
        os.chdir(jobs)  # a socket's path has little room
        end.bind("socket.xlsx")
        os.chdir(before)
    link = "(a link to another place; links are not followed)"
    assert found(jobs) == {
        "a.xlsx": "a.audited.xlsx",
        "elsewhere": link,
        "link.xlsx": link,
        "loop": link,
        "nowhere.xlsx": link,
        "pipe.xlsx": "(not a regular file)",
        "socket.xlsx": "(not a regular file)",
    }


@posix
def test_links_that_lead_in_a_circle_are_passed_over(tmp_path: Path) -> None:
    files(tmp_path, "a.xlsx")
    for name, target in (("self", "self"), ("self.xlsx", "self.xlsx"), ("one", "two"), ("two", "one")):
        (tmp_path / name).symlink_to(target)
    link = "(a link to another place; links are not followed)"
    assert found(tmp_path) == {
        "a.xlsx": "a.audited.xlsx",
        "one": link,
        "self": link,
        "self.xlsx": link,
        "two": link,
    }
    assert found(tmp_path / "self") == {"self": "(a link to nothing)"}


@posix
def test_a_link_that_is_given_itself_is_followed(tmp_path: Path) -> None:
    files(tmp_path, "a.xlsx")
    (tmp_path / "link.xlsx").symlink_to(tmp_path / "a.xlsx")
    (tmp_path / "nowhere.xlsx").symlink_to(tmp_path / "gone")
    assert found(tmp_path / "link.xlsx") == {"link.xlsx": "link.audited.xlsx"}
    assert found(tmp_path / "nowhere.xlsx") == {"nowhere.xlsx": "(a link to nothing)"}


@posix
def test_names_that_are_no_text_are_escaped(tmp_path: Path) -> None:
    (tmp_path / os.fsdecode(b"K\xfcche.xlsx")).write_bytes(b"")
    assert found(tmp_path) == {"K\\xfcche.xlsx": "K_xfcche.audited.xlsx"}


def test_a_lock_file_says_that_a_job_seems_open(tmp_path: Path) -> None:
    files(tmp_path, "a.xlsx", "~$a.xlsx", "b.xlsx", "c.ods", ".~lock.c.ods#")
    assert {each.name: each.seems_open for each in find_jobs([tmp_path], None)} == {
        "a.xlsx": True,
        "b.xlsx": False,
        "c.ods": True,
    }


def outputs(*names: str) -> list[str]:
    given = Names()
    return [given.output(name) for name in names]


def test_copies_never_share_a_name_even_where_case_is_ignored() -> None:
    assert outputs("A.XLSX", "a.csv", "a.xls", "a.xlsm", "a.xlsx") == [
        "A.audited.XLSX",
        "a.csv.audited.xlsx",
        "a.xls.audited.xlsx",
        "a.xlsm.audited.xlsm",
        "a.xlsx.audited.xlsx",
    ]
    assert outputs("u\u0308.xlsx", "\u00fc.xlsx", "x/\u00fc.xlsx") == [
        "u\u0308.audited.xlsx",
        "\u00fc.xlsx.audited.xlsx",
        "x/\u00fc.audited.xlsx",
    ]
    assert outputs("a.xls.xlsx", "a.xls") == ["a.xls.audited.xlsx", "a.xls.audited-2.xlsx"]


@pytest.mark.parametrize("letter", ["n", "ü", "件"])
def test_long_names_are_cut_and_stay_different(letter: str) -> None:
    room = LONGEST_NAME - len(".xlsx")
    stem = letter * (room // len(letter.encode()))
    first, second = outputs(f"{stem}.xlsx", f"{stem}.xlsm")
    assert first != second
    for name in (first, second):
        assert len(name.encode()) <= LONGEST_NAME
        assert name.startswith(letter * 50)


def test_a_backslash_in_a_name_makes_no_folder() -> None:
    assert outputs("..\\..\\evil.xlsx") == [".._.._evil.audited.xlsx"]
