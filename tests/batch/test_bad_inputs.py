"""One folder that holds every file of the list of bad inputs, audited by one command."""

import io
import re
import zipfile
from pathlib import Path
from typing import Any

from tests.batch import bad_cells, bad_packages  # noqa: F401  they list their cases
from tests.batch.cases import EITHER, REFUSE, Case, cases
from tests.batch.runs import names, results, run, state
from tests.intake.workbooks import job_workbook

FIRST, LAST = "! first.xlsx", "~ last.xlsx"  # good jobs before and after all others
OF_A_FAULT = re.compile(r"Traceback|\w+(?:Error|Exception)\b|fault of the auditor")


def test_every_file_is_named_once_and_judged_as_the_list_says(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    (source / "11 folder.xlsx").mkdir(parents=True)
    for name in (FIRST, LAST):
        (source / name).write_bytes(
            job_workbook(pulls=[["Pull", "From", "To", "Length (ft)"], [name, "C1.1", "K1", 9]])
        )
    for case in cases():
        (source / case.file).write_bytes(case.make())
    before = state(source)

    done = run("check", source, "--out", out)

    assert state(source) == before
    assert done.returncode == 3
    assert done.stderr == ""
    found = {each["file"]: each for each in results(out)}
    assert list(found) == sorted(before, key=lambda name: (name.casefold(), name))
    assert found[FIRST]["verdict"] != "unreadable"
    assert found[LAST]["verdict"] != "unreadable"
    lines = done.stdout.splitlines()
    assert [line for line in lines if OF_A_FAULT.search(line)] == []
    assert [name for name in found if sum(_is_line_of(name, line) for line in lines) != 1] == []
    copies = {name for name in names(out) if ".audited." in name}
    assert set(names(out)) - copies == {"results.jsonl", "summary.xlsx"}
    assert [
        _miss(case, found[case.file], lines, copies)
        for case in cases()
        if _miss(case, found[case.file], lines, copies)
    ] == []
    assert [name for name in copies if not _is_whole(out / name)] == []


def _is_line_of(name: str, line: str) -> bool:
    return re.match(rf"(?:pass|review|fail|unreadable) +{re.escape(name)}  ", line) is not None


def _miss(case: Case, record: dict[str, Any], lines: list[str], copies: set[str]) -> str:
    """What is not as the list says; nothing where all is."""
    refused = record["verdict"] == "unreadable"
    told = [record["problem"] or "", *(line for line in lines if case.file in line)]
    told += [f"{each['rule']}: {each['message']} {each['cell']}" for each in record["findings"]]
    text = "\n".join(told)
    missing = [word for word in case.words if word not in text]
    if case.outcome != EITHER and refused != (case.outcome == REFUSE):
        return f"{case.file}: {record['verdict']}, wanted {case.outcome}: {text}"
    if refused == any(copy.startswith(Path(case.file).stem) for copy in copies):
        return f"{case.file}: {record['verdict']} and yet {'a' if refused else 'no'} copy"
    return f"{case.file}: {missing} not in: {text}" if missing else ""


def _is_whole(path: Path) -> bool:
    with zipfile.ZipFile(io.BytesIO(path.read_bytes())) as package:
        return package.testzip() is None
