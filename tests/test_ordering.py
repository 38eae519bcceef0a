"""The order over many jobs, from results and from workbooks: the same; and what pooling saves."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from typer.testing import CliRunner

from auditor import batch
from auditor.cli import app
from auditor.errors import AuditorError
from auditor.findings import record
from auditor.ordering import order
from auditor.stored import read_results

SAMPLES = Path(__file__).parent.parent / "sample_workbooks"
JOBS = (SAMPLES / "quillmere_guest_house.xlsx", SAMPLES / "oxtarn_barn.xlsx")


def silent(done: int, total: int, outcome: object) -> None:
    pass


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("out")
    batch.check(JOBS, out, batch.Options(workers=1), silent)
    return out


def test_an_order_from_results_is_the_order_from_the_workbooks(checked: Path) -> None:
    stored = order([checked], batch.Options(), silent)
    anew = order(list(JOBS), batch.Options(workers=1), silent)

    assert stored.csv == anew.csv
    assert stored.pooled == anew.pooled
    assert len(stored.audits) == len(JOBS)


def test_results_are_read_back_as_they_were_written(checked: Path) -> None:
    lines = (checked / batch.RESULTS).read_text("utf-8").splitlines()
    kept = ("job", "file", "verdict", "cut_lists", "controllers", "supplies", "length_unit")

    for audit, line in zip(read_results(checked / batch.RESULTS), lines, strict=True):
        written, again = json.loads(line), record(audit)
        assert {key: again[key] for key in kept} == {key: written[key] for key in kept}
        assert [_placeless(pull) for pull in again["pulls"]] == [
            _placeless(pull) for pull in written["pulls"]
        ]


def _placeless(pull: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in pull.items() if key not in ("sheet", "cell")}


def test_every_pull_of_every_job_is_on_one_pooled_reel(checked: Path) -> None:
    made = order([checked], batch.Options(), silent)
    cut = [pull for cuts in made.pooled for reel in cuts.reels for pull in reel.pulls]
    uncut = [pull for cuts in made.pooled for pull in cuts.uncut]

    assert len(cut) == len(set(cut))
    assert sorted(cut + uncut) == sorted(
        f"{a.job}: {p.id}" for a in made.audits for p in a.pulls if p.length_m
    )


def test_pooling_never_buys_more_than_the_jobs_apart(checked: Path) -> None:
    made = order([checked], batch.Options(), silent)
    apart = sum(cuts.bought_m for audit in made.audits for cuts in audit.cut_lists)

    assert sum(cuts.bought_m for cuts in made.pooled) <= apart + 1e-6


def test_the_command_writes_a_workbook_and_a_csv(checked: Path, tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["order", str(checked), "--out", str(tmp_path / "order.xlsx")])

    assert done.exit_code == 0, done.output
    names = openpyxl.load_workbook(tmp_path / "order.xlsx").sheetnames
    assert names[:2] == ["Order", "Per job"]
    rows = list(csv.DictReader(io.StringIO((tmp_path / "order.csv").read_text("utf-8-sig"))))
    assert {row["kind"] for row in rows} == {"cable", "controller", "supply"}


def test_results_that_are_none_are_named(tmp_path: Path) -> None:
    (tmp_path / batch.RESULTS).write_text('{"schema": 1}\n', "utf-8")

    with pytest.raises(AuditorError, match="line 1 is no result of an audit"):
        order([tmp_path], batch.Options(), silent)
