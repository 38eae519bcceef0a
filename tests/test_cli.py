"""What a person sees: one sentence for a command that is not understood, exit codes, lines, the bar."""

import os
import re
import select
import subprocess
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from auditor.console import job_line, printable, question_line
from auditor.results.audit_result import Audit, ChoiceResult, QuestionResult
from auditor.results.findings import Finding, Level, Verdict
from auditor.results.job_summary import job_summary
from tests.batch.runs import COMMAND, contents, environment, folder_of_jobs, names, run
from tests.intake.workbooks import with_lengths


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (
            ["check", "--colour"],
            "auditor check: no such option: --colour (Possible options: --out); «auditor check --help» "
            "lists what there is",
        ),
        (["check"], "auditor check: missing argument 'paths'; «auditor check --help» lists what there is"),
        (
            ["chekc"],
            "auditor: no such command 'chekc', did you mean 'check'; «auditor --help» lists what there is",
        ),
        (["check", "nowhere"], "nowhere: no such file or folder; give a workbook or a folder of workbooks"),
        (["check", ".", "--profile", "our bus"], "no profile named 'our bus': the shipped ones are"),
        (["check", "."], "no workbook found in .; looked for spreadsheets such as .xlsx, .xls, .ods, .csv"),
        (["check", ".", "--out"], "option '--out' requires an argument"),
    ],
)
def test_what_cannot_be_understood_is_one_sentence(
    tmp_path: Path, arguments: list[str], sentence: str
) -> None:
    done = run(*arguments, cwd=tmp_path, env=environment(AUDITOR_LOG="no such level"))
    assert (done.returncode, done.stdout) == (2, "")
    assert len(done.stderr.splitlines()) == 1
    assert sentence in done.stderr
    assert names(tmp_path) == []


def test_without_a_command_the_help_is_shown() -> None:
    done = run()
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == run("--help").stdout
    assert "Audits the spreadsheets" in done.stdout


def test_lines_and_exit_codes(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx")
    code = [run("check", "in", cwd=tmp_path).returncode]
    (source / "b.xlsx").write_bytes(with_lengths(1050))
    code.append(run("check", "in", cwd=tmp_path).returncode)
    (source / "c.xlsx").write_bytes(b"")
    done = run("check", "in", cwd=tmp_path)
    assert [*code, done.returncode] == [0, 1, 3]
    assert done.stderr == ""
    assert done.stdout == (
        "pass        a.xlsx  2 devices on 1 run\n"
        "fail        b.xlsx  reach: K1 is 1,050 ft from C1.1, 50 ft over the limit of 1,000 ft; feed it "
        "from a port nearer to it or find a shorter route\n"
        "unreadable  c.xlsx  the file is empty; ask for it again\n"
        "profile     two-wire-35w (the default; nothing names another) judged 2 jobs\n"
        "3 jobs: 1 pass, 1 fail, 1 unreadable. Annotated copies, summary.xlsx and results.jsonl are in "
        "audited\n"
    )
    assert "audited/a.audited.xlsx" in names(tmp_path)


def test_a_reader_that_goes_away_stops_no_audit(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", *(f"{n}.xlsx" for n in range(4)))
    command = [*COMMAND, "check", str(source), "--out", str(tmp_path / "out")]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(60) == 0
    assert len(names(tmp_path / "out")) == 6


def on_a_terminal(command: list[str], folder: Path, columns: int = 100) -> tuple[int, str]:
    """Exit code, and everything that the terminal was sent."""
    import fcntl
    import pty
    import struct
    import termios

    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("4H", 30, columns, 0, 0))
    process = subprocess.Popen(
        command,
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env=environment(TERM="xterm", COLUMNS=str(columns)),
        cwd=folder,
    )
    os.close(theirs)
    sent = b""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        if select.select([ours], [], [], 0.1)[0]:
            try:
                sent += os.read(ours, 65536)
            except OSError:  # the other side is closed
                break
    code = process.wait(10)
    os.close(ours)
    return code, sent.decode()


@pytest.mark.skipif(os.name == "nt", reason="terminals of POSIX")
def test_a_terminal_shows_a_bar_and_then_only_the_lines(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx", "[red]b.xlsx", "\x1b[31mc.xlsx")
    code, sent = on_a_terminal([*COMMAND, "check", str(source), "--out", "out"], tmp_path)
    shown = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]|\r", "", sent)
    assert code == 0
    assert "auditing" in shown
    assert "3/3" in shown
    assert "pass        [red]b.xlsx  2 devices on 1 run" in shown
    assert "pass        \\u001b[31mc.xlsx  2 devices on 1 run" in shown
    assert "\x1b[31mc" not in sent
    assert shown.splitlines()[-1].startswith("3 jobs: 3 pass. Annotated copies, summary.xlsx")


def finding(message: str, level: Level = Level.FAIL) -> Finding:
    return Finding(rule="reach", level=level, subject="K1", message=message)


def test_a_jobs_line_shows_its_worst_finding_and_how_many_are_like_it() -> None:
    findings = (finding("a", Level.REVIEW), finding("b"), finding("c"), finding("d", Level.NOTE))
    audit = Audit(job="a", file="x/a.xlsx", profile="p", verdict=Verdict.FAIL, findings=findings)
    assert job_line(job_summary(audit)) == "fail        x/a.xlsx  reach: b (and 1 more)"


def test_a_problem_names_the_file_once_and_is_cut() -> None:
    problem = "a.xlsx: " + "y" * 500
    audit = Audit(job="a", file="x/a.xlsx", profile=None, verdict=Verdict.UNREADABLE, problem=problem)
    assert job_line(job_summary(audit)) == f"unreadable  x/a.xlsx  {'y' * 299}…"


def asked(number: int) -> QuestionResult:
    choices = (
        ChoiceResult(answer="A", leads_to="C1.1 fails"),
        ChoiceResult(answer="B", leads_to="C1.1 passes"),
    )
    return QuestionResult(id=f"length-0000000{number}", sentence=f"question {number}?", choices=choices)


@pytest.mark.parametrize(
    ("count", "line"),
    [
        (0, ""),
        (1, "            asks: question 0?: answer on the sheet «Questions» of its copy"),
        (
            2,
            "            asks: question 0? (and 1 more question): answer on the sheet «Questions» of its copy",
        ),
    ],
)
def test_what_a_job_asks_is_one_line(count: int, line: str) -> None:
    questions = tuple(map(asked, range(count)))
    audit = Audit(job="a", file="a.xlsx", profile="p", verdict=Verdict.REVIEW, questions=questions)
    assert question_line(job_summary(audit)) == line


def test_what_its_line_has_asked_is_not_said_twice() -> None:
    first = replace(finding("question 0? A is read", Level.REVIEW), question="length-00000000")
    answered = replace(asked(2), answered="A")
    audit = Audit(
        job="a",
        file="a.xlsx",
        profile="p",
        verdict=Verdict.REVIEW,
        findings=(first,),
        questions=(asked(0), asked(1), answered),
    )
    said = "            asks this (and 1 more question): answer on the sheet «Questions» of its copy"
    assert question_line(job_summary(audit)) == said


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("K\x1b[31m\x07", "K\\u001b[31m\\u0007"),
        ("a\u202egpj.exe", "a\\u202egpj.exe"),
        ("a\nb\r\tc", "a\\u000ab\\u000d\\u0009c"),
        ("\ud800\u2028\x9b1m", "\\ud800\\u2028\\u009b1m"),
        ("Küche 件 12′-6″ – «ok»", "Küche 件 12′-6″ – «ok»"),
    ],
)
def test_what_could_steer_a_terminal_is_made_visible(text: str, shown: str) -> None:
    assert printable(text) == shown


def test_a_starter_workbook_is_never_written_over_another_file(tmp_path: Path) -> None:
    (tmp_path / "schedule.xlsx").write_bytes(b"mine")
    done = run("blank", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (
        2,
        "schedule.xlsx is there already; choose another name with --out\n",
    )
    assert contents(tmp_path) == {"schedule.xlsx": b"mine"}


def test_a_starter_workbook_is_written_in_the_language_and_unit_asked_for(tmp_path: Path) -> None:
    done = run("blank", "--language", "de", "--units", "m", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (0, "wrote schedule.xlsx\n")
    pulls = openpyxl.load_workbook(tmp_path / "schedule.xlsx")["Kabelzüge"]
    assert [cell.value for cell in pulls[4]][:5] == ["Kabelnummer", "Von", "Nach", "Länge (m)", "Kabeltyp"]


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        (
            "--language",
            "it",
            "--language: there is no starter workbook in 'it'; there is de (Deutsch), en (English), "
            "es (Español), fr (Français)\n",
        ),
        ("--units", "yd", "--units: 'yd' is no length unit of a starter workbook; take ft or m\n"),
    ],
)
def test_a_starter_workbook_that_there_is_not_is_refused(
    tmp_path: Path, option: str, value: str, said: str
) -> None:
    done = run("blank", option, value, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, said)
    assert contents(tmp_path) == {}


@pytest.mark.parametrize("ending", ["csv", "ods"])
def test_strip_says_which_files_it_can_strip(tmp_path: Path, ending: str) -> None:
    if ending == "csv":
        (tmp_path / "job.csv").write_bytes(b"From,To,Length (ft)\nC1.1,K1,120\n")
    else:
        with zipfile.ZipFile(tmp_path / "job.ods", "w") as package:
            package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    done = run("strip", f"job.{ending}", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        f"job.{ending}: only .xlsx, .xlsm, .xltx and .xltm workbooks can be stripped, and this file is .{ending}; "
        "go back to the annotated copy or to the original\n"
    )


@pytest.mark.filterwarnings("ignore:.*xtension is not supported")
def test_strip_says_what_it_kept(tmp_path: Path) -> None:
    folder_of_jobs(tmp_path / "in", "a.xlsx")
    run("check", "in", cwd=tmp_path)
    (copy,) = tmp_path.rglob("a.audited.xlsx")
    done = run("strip", str(copy), "--out", "plain.xlsx", cwd=tmp_path)
    assert (done.returncode, len(done.stdout.splitlines())) == (0, 1)
    book = openpyxl.load_workbook(copy)
    cells = [cell for sheet in book.worksheets for row in sheet.iter_rows() for cell in row]
    next(cell for cell in cells if cell.value == "Audit verdict").value = "Remarks"
    book.save(copy)
    done = run("strip", str(copy), "--out", "kept.xlsx", cwd=tmp_path)
    assert "it was kept" in done.stdout.splitlines()[1]
