"""Whole runs: what stands in the out folder, and what nothing may disturb."""

import io
import os
import re
import warnings
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from auditor import batch
from auditor.batch import Batch, Options
from auditor.batch.lines import workbook_done
from auditor.batch.work import Outcome, Task, do
from auditor.errors import AuditorError, OutputError
from auditor.report.summary.workbook import write_summary
from auditor.results.findings import Finding, Level, Verdict
from auditor.results.job_summary import JobSummary, job_summary
from tests.batch.runs import contents, folder_of_jobs, names, results, state, verdicts
from tests.intake.workbooks import PULLS, job_workbook, with_lengths

ONE = Options(workers=1)


def silent(done: int, total: int, job: JobSummary | None) -> None:
    pass


def check(source: Path, out: Path, options: Options = ONE) -> Batch:
    return batch.check([source], out, options, silent)


def opened(path: Path) -> openpyxl.Workbook:
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", ".* extension is not supported")
        return openpyxl.load_workbook(io.BytesIO(path.read_bytes()))


def test_the_same_bytes_again_inputs_untouched_and_nothing_else_written(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "b.xlsx", "deep/a.xlsx")
    (source / "broken.xlsx").write_bytes(b"")
    (source / "text.csv").write_bytes(b"Pull,From,To,Length (ft)\nP1,C1.1,K1,120\n")
    before = state(source)
    told: list[str] = []
    done = batch.check(
        [source],
        tmp_path / "out",
        Options(workers=2),
        lambda n, of, one: told.append(one.file if one else ""),
    )
    assert done.exit_code == 3
    assert [name for name in told if name] == ["b.xlsx", "broken.xlsx", "deep/a.xlsx", "text.csv"]
    first = contents(tmp_path / "out")
    assert sorted(first) == [
        "b.audited.xlsx",
        "deep/a.audited.xlsx",
        "results.jsonl",
        "summary.xlsx",
        "text.csv.audited.xlsx",
    ]
    check(source, tmp_path / "out")
    assert contents(tmp_path / "out") == first
    check(source, tmp_path / "new" / "out")
    assert contents(tmp_path / "new" / "out") == first
    assert state(source) == before
    assert names(tmp_path / "in") == sorted(before)


def test_an_out_folder_inside_the_input_folder(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path, "a.xlsx")
    for out in ("audited", "audited", "other"):
        assert check(source, source / out).jobs == 1
        assert list(verdicts(source / out)) == ["a.xlsx"]
    with pytest.raises(OutputError, match="holds the workbooks themselves"):
        check(source, source)
    assert names(source) == [
        "a.xlsx",
        *(
            f"{out}/{name}"
            for out in ("audited", "other")
            for name in ("a.audited.xlsx", "results.jsonl", "summary.xlsx")
        ),
    ]


def test_an_annotated_copy_is_updated_not_annotated_twice(tmp_path: Path) -> None:
    check(folder_of_jobs(tmp_path / "in", "a.xlsx"), tmp_path / "out")
    (tmp_path / "renamed").mkdir()
    (tmp_path / "renamed" / "a.xlsx").write_bytes((tmp_path / "out" / "a.audited.xlsx").read_bytes())
    for source in ("out", "renamed"):
        check(tmp_path / source, tmp_path / f"{source} again")
    first, named, renamed = (
        parts(tmp_path / out / "a.audited.xlsx") for out in ("out", "out again", "renamed again")
    )
    assert renamed == first
    for each in (
        first,
        named,
    ):  # what is remembered of the texts, and so of the name, and the mark that undoes it
        del each["customXml/item1.xml"]
        each["xl/workbook.xml"] = re.sub(
            rb'(_auditor.texts.1" hidden="1">)[^<]*', rb"\1", each["xl/workbook.xml"]
        )
    assert {name: part.replace(b"a.audited.xlsx", b"a.xlsx") for name, part in named.items()} == first


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def test_jobs_that_would_share_a_name_are_all_there(tmp_path: Path) -> None:
    folder_of_jobs(tmp_path / "in", "a.xlsx", "A.XLSX", "a.xlsm")
    (tmp_path / "in" / "a.xls").write_bytes(with_lengths(9))
    (tmp_path / "in" / "a.csv").write_bytes(b"Pull,From,To,Length (ft)\nP1,C1.1,K1,120\n")
    done = check(tmp_path / "in", tmp_path / "out")
    assert done.jobs == 5
    copies = [name for name in names(tmp_path / "out") if "audited" in name]
    assert len({name.casefold() for name in copies}) == 5


def test_a_copy_is_named_after_what_the_workbook_is(tmp_path: Path) -> None:
    def with_type(kind: bytes) -> bytes:
        held = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(job_workbook())) as source, zipfile.ZipFile(held, "w") as target:
            for part in source.namelist():
                usual = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main"
                target.writestr(part, source.read(part).replace(usual, kind))
        return held.getvalue()

    folder_of_jobs(tmp_path / "in", "template.xlsx")
    macros = with_type(b"application/vnd.ms-excel.sheet.macroEnabled.main")
    (tmp_path / "in" / "macros.xls").write_bytes(macros)
    (tmp_path / "in" / "plain.xlsm").write_bytes(with_lengths(7))
    (tmp_path / "in" / "template.xlsx").write_bytes(
        with_type(b"application/vnd.openxmlformats-officedocument.spreadsheetml.template.main")
    )
    done = check(tmp_path / "in", tmp_path / "out")
    assert [name for name in names(tmp_path / "out") if "audited" in name] == [
        "macros.xls.audited.xlsm",
        "plain.audited.xlsx",
        "template.audited.xltx",
    ]
    assert [said for said in done.said if "and its copy is named so" in said] == [
        "macros.xls: the file is a .xlsm workbook inside, and its copy is named so",
        "plain.xlsm: the file is a .xlsx workbook inside, and its copy is named so",
        "template.xlsx: the file is a .xltx workbook inside, and its copy is named so",
    ]


def test_byte_identical_and_open_jobs_are_said(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx", "b.xlsx", "c.xlsx")
    (source / "c.xlsx").write_bytes((source / "a.xlsx").read_bytes())
    (source / "~$b.xlsx").write_bytes(b"\x05owner" + b" " * 159)
    done = check(source, tmp_path / "out")
    same = "yte for byte the same workbook as a.xlsx: sums over all jobs count it twice; remove one"
    seems_open = "he workbook seems to be open in another program: what was saved last was audited"
    assert list(verdicts(tmp_path / "out")) == ["a.xlsx", "b.xlsx", "c.xlsx"]
    assert done.said == [f"b.xlsx: t{seems_open}", f"c.xlsx: b{same}"]
    last = {each["file"]: each["findings"][-1] for each in results(tmp_path / "out")}
    assert (last["c.xlsx"]["level"], last["c.xlsx"]["message"]) == ("note", f"B{same}")
    assert (last["b.xlsx"]["level"], last["b.xlsx"]["message"]) == ("note", f"T{seems_open}")
    summary = opened(tmp_path / "out" / "summary.xlsx")
    assert f"B{same}" in [cell.value for row in summary["Findings"].rows for cell in row]


def test_files_that_cannot_be_read_are_not_told_to_be_the_same(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx")
    for name in ("b.xlsx", "c.xlsx"):
        (source / name).write_bytes(b"")
    done = check(source, tmp_path / "out")
    assert verdicts(tmp_path / "out") == {"a.xlsx": "pass", "b.xlsx": "unreadable", "c.xlsx": "unreadable"}
    assert done.said == []


def test_a_workbook_that_can_no_longer_be_read_says_that_its_copy_is_old(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx")
    check(source, tmp_path / "out")
    (source / "a.xlsx").write_bytes(b"")
    assert check(source, tmp_path / "out").said == [
        "a.xlsx: a.audited.xlsx is of an earlier run, when the workbook could be read"
    ]


def test_a_folder_without_workbooks_leaves_no_out_folder(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    with pytest.raises(
        AuditorError, match=r"no workbook found in .*; looked for spreadsheets such as \.xlsx"
    ):
        check(tmp_path / "in", tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_layout_beside_the_workbooks_that_is_not_right_is_named(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx", "deep/b.xlsx")
    for name in ("b", "of_another"):
        (source / "deep" / f"{name}.layout.json").write_bytes(b"\xff\xfe\xff")
    check(source, tmp_path / "out")
    found = {each["file"]: each["problem"] for each in results(tmp_path / "out")}
    assert found == {"a.xlsx": None, "deep/b.xlsx": "b.layout.json: this is no JSON text; wanted UTF-8"}


def test_a_layout_that_is_not_right_and_of_another_workbook_is_said_and_left_out(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx")
    (source / "other.layout.json").write_bytes(b"\xff\xfe\xff")
    done = check(source, tmp_path / "out")
    assert [each["problem"] for each in results(tmp_path / "out")] == [None]
    assert any("other.layout.json: this is no JSON text" in sentence for sentence in done.said)


def test_a_profile_that_the_workbook_names_and_nobody_knows(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_bytes(job_workbook(pulls=[["Bus profile:", "our own"], [], *PULLS]))
    done = do(Task(path=str(tmp_path / "a.xlsx"), name="a.xlsx", output="", profile=None))
    (audit,) = done.audits
    assert audit.verdict is Verdict.REVIEW
    assert "names the bus profile 'our own', which is not one of" in audit.findings[-1].message


def test_a_fault_while_the_copy_is_made_keeps_the_audit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from auditor.annotate import annotated

    def fault(*_: object) -> None:
        raise KeyError("a bug of ours")

    monkeypatch.setattr(annotated, "annotated_copy", fault)
    folder_of_jobs(tmp_path, "a.xlsx")
    done = do(
        Task(
            path=str(tmp_path / "a.xlsx"),
            name="a.xlsx",
            output=str(tmp_path / "a.audited.xlsx"),
            profile=None,
        )
    )
    (audit,) = done.audits
    assert audit.verdict is Verdict.REVIEW
    assert audit.runs
    assert audit.crashed == ("annotated copy",)
    assert done.not_written
    assert names(tmp_path) == ["a.xlsx"]


def test_figures_without_a_finite_value_are_null_in_the_results(tmp_path: Path) -> None:
    folder_of_jobs(tmp_path, "a.xlsx")
    (audit,) = do(Task(path=str(tmp_path / "a.xlsx"), name="a.xlsx", output="", profile=None)).audits
    odd = Finding(
        rule="reach",
        level=Level.NOTE,
        subject="K\u2028\x85",
        message="x",
        measured=float("inf"),
        limit=float("nan"),
    )
    (done,) = workbook_done(Outcome(audits=(replace(audit, findings=(odd,)),))).jobs
    line = done.line
    assert "Infinity" not in line
    assert "NaN" not in line
    assert len(line.splitlines()) == 1


def test_what_a_summary_counts_of_a_jobs_rows(tmp_path: Path) -> None:
    """Pulls without a length, and of cable without a cut list, among them."""
    (tmp_path / "a.xlsx").write_bytes(job_workbook())
    (audit,) = do(Task(path=str(tmp_path / "a.xlsx"), name="a.xlsx", output="", profile=None)).audits
    first, *rest = audit.pulls
    pulls = (
        first,
        replace(first, length_m=None, why="No length."),
        *rest,
        replace(first, cable="other"),
        replace(first, cable="other", length_m=None),
    )
    summary = job_summary(replace(audit, pulls=pulls))
    assert summary.device_count == 4
    assert summary.cable_m == pytest.approx((120 + 80 + 45.5 + 120) * 0.3048)
    assert (summary.pulls_without_length, summary.unlisted_pulls, summary.unlisted_without_length) == (
        2,
        2,
        1,
    )
    shown = shown_rows(write_summary([summary]))
    assert "at least: 2 pulls without a length or its unit" in shown["Jobs"][5]
    assert (
        "Not in these figures: 2 pulls of cable that has no cut list, 1 of them without a length or its "
        "unit; the findings name them."
    ) in shown["To buy"][2]


def shown_rows(data: bytes) -> dict[str, list[tuple[object, ...]]]:
    """The rows of each sheet, figures rounded: sums may be taken in another order."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", ".* extension is not supported")
        book = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    return {
        sheet.title: [
            tuple(round(each, 6) if isinstance(each, float) else each for each in row)
            for row in sheet.iter_rows(values_only=True)
        ]
        for sheet in book
    }


@pytest.mark.skipif(os.name == "nt", reason="such names cannot be made on Windows")
def test_odd_names_are_audited_and_named_in_every_output(tmp_path: Path) -> None:
    odd = [
        b"K\xfcche.xlsx",
        b"two\nlines.xlsx",
        b"[red]=1+1.xlsx",
        b"x" * 250 + b".xlsx",
        b"\x1b[31m.xlsx",
        "\u202exslx.xlsx".encode(),
    ]
    (tmp_path / "in").mkdir()
    for number, name in enumerate(odd):
        (tmp_path / "in" / os.fsdecode(name)).write_bytes(with_lengths(100 + number))
    done = check(tmp_path / "in", tmp_path / "out")
    assert done.verdicts[Verdict.UNREADABLE] == 0
    assert done.incomplete == 0
    assert sorted(verdicts(tmp_path / "out")) == sorted(
        ["K\\xfcche.xlsx", *(name.decode() for name in odd[1:])]
    )
    assert len([name for name in names(tmp_path / "out") if ".audited." in name]) == len(odd)
    summary = opened(tmp_path / "out" / "summary.xlsx")
    shown = [row[2].value for row in summary["Jobs"].iter_rows(min_row=6)]
    assert "K\\xfcche.xlsx" in shown
    assert "[red]=1+1.xlsx" in shown


def test_a_copy_that_somebody_worked_in_is_updated_with_their_work(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx"), tmp_path / "out"
    check(source, out)
    check(source, out)
    assert set(names(out)) == {"a.audited.xlsx", "results.jsonl", "summary.xlsx"}

    book = opened(out / "a.audited.xlsx")
    book.worksheets[0]["H1"] = "mine"
    book.save(out / "a.audited.xlsx")
    check(source, out)
    assert set(names(out)) == {"a.audited.xlsx", "results.jsonl", "summary.xlsx"}
    assert "mine" in [cell.value for cell in opened(out / "a.audited.xlsx").worksheets[0][1]]


def test_a_file_that_is_no_copy_of_ours_is_kept(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx"), tmp_path / "out"
    check(source, out)
    first = (out / "a.audited.xlsx").read_bytes()
    for foreign in (b"no workbook", (source / "a.xlsx").read_bytes()):
        (out / "a.audited.xlsx").write_bytes(foreign)
        done = check(source, out)
        assert (out / "a.audited.xlsx").read_bytes() == foreign
        assert (out / "a.audited-2.xlsx").read_bytes() == first
        assert any(
            "a.audited.xlsx was changed since it was written and is kept" in said for said in done.said
        )


def test_the_summary_leads_to_each_copy(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx", "deep/b.xlsx"), tmp_path / "out"
    check(source, out)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl drops the data bars' extension and says so
        jobs = openpyxl.load_workbook(out / "summary.xlsx")["Jobs"]
    links = [cell.hyperlink.target for row in jobs.iter_rows() for cell in row if cell.hyperlink]

    assert [link.replace("\\", "/") for link in links] == ["a.audited.xlsx", "deep/b.audited.xlsx"]
