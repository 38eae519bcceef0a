"""The order over many jobs, from results and from workbooks: the same; and what pooling saves."""

import csv
import io
import json
import os
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from typer.testing import CliRunner

from auditor import batch
from auditor.cli import app
from auditor.errors import AuditorError
from auditor.order.combine import make_order
from auditor.results.record import read_results, record

SAMPLES = Path(__file__).parents[2] / "sample_workbooks"
JOBS = (SAMPLES / "quillmere_guest_house.xlsx", SAMPLES / "oxtarn_barn.xlsx")


def silent(done: int, total: int, outcome: object) -> None:
    pass


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("out")
    batch.check(JOBS, out, batch.Options(workers=1), silent)
    return out


def test_an_order_from_results_is_the_order_from_the_workbooks(checked: Path) -> None:
    stored = make_order([checked], batch.Options(), silent)
    anew = make_order(list(JOBS), batch.Options(workers=1), silent)

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
    made = make_order([checked], batch.Options(), silent)
    cut = [pull for cuts in made.pooled for reel in cuts.reels for pull in reel.pulls]
    uncut = [pull for cuts in made.pooled for pull in cuts.uncut]

    assert len(cut) == len(set(cut))
    assert sorted(cut + uncut) == sorted(
        f"{a.job}: {p.id}" for a in made.audits for p in a.pulls if p.length_m
    )


def test_pooling_never_buys_more_than_the_jobs_apart(checked: Path) -> None:
    made = make_order([checked], batch.Options(), silent)
    apart = sum(cuts.bought_m for audit in made.audits for cuts in audit.cut_lists)

    assert sum(cuts.bought_m for cuts in made.pooled) <= apart + 1e-6


def test_the_command_writes_a_workbook_and_a_csv(checked: Path, tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["order", str(checked), "--out", str(tmp_path / "order.xlsx")])

    assert done.exit_code == 0, done.output
    names = openpyxl.load_workbook(tmp_path / "order.xlsx").sheetnames
    assert names[:2] == ["Order", "Per job"]
    rows = list(csv.DictReader(io.StringIO((tmp_path / "order.csv").read_text("utf-8-sig"))))
    assert {row["kind"] for row in rows} == {"warning", "cable", "controller", "supply"}


def test_results_given_twice_are_counted_once_and_that_is_said(checked: Path) -> None:
    once = make_order([checked], batch.Options(), silent)
    twice = make_order([checked, checked], batch.Options(), silent)

    assert twice.pooled == once.pooled
    assert twice.audits == once.audits
    said = "2 jobs were given more than once and are counted once: "
    assert [each for each in twice.warnings if each not in once.warnings] == [
        said + ", ".join(audit.job for audit in once.audits) + "."
    ]
    assert said in twice.csv


def test_results_and_their_own_workbooks_are_the_same_jobs(checked: Path) -> None:
    both = make_order([checked, *JOBS], batch.Options(workers=1), silent)

    assert len(both.audits) == len(JOBS)


def test_two_cables_of_one_name_are_ordered_apart(tmp_path: Path) -> None:
    paths = [
        _job(tmp_path / "alder.xlsx", "16 AWG", "stranded", "no"),
        _job(tmp_path / "birch.xlsx", "18 AWG", "solid", "yes"),
    ]
    made = make_order(paths, batch.Options(workers=1), silent)

    names = ["TP16 (16 AWG, stranded, unshielded)", "TP16 (18 AWG, solid, shielded)"]
    assert [cuts.cable for cuts in made.pooled] == names
    rows = list(csv.DictReader(io.StringIO(made.csv)))
    reels = [(row["item"], row["quantity"]) for row in rows if row["size"].endswith("reel")]
    assert reels == [(f"{name}, 2 conductors", "1") for name in names]
    missing = [row["size"] for row in rows if row["kind"] == "cable" and not row["size"].endswith("reel")]
    assert missing == [
        text
        for job in ("alder", "birch")
        for text in (f"not covered: P2 of {job}, 9,000 ft", f"length or unit missing: P3 of {job}")
    ]


def test_a_supply_that_only_the_profile_rates_is_ordered_with_the_others(tmp_path: Path) -> None:
    """Of a job without a controller yet; not where a file of the user's judged under that name."""
    fed = _job(tmp_path / "alder.xlsx", "16 AWG", "stranded", "no")
    bare = _job(tmp_path / "birch.xlsx", "16 AWG", "stranded", "no")
    book = openpyxl.load_workbook(bare)
    book["Pulls"]["B2"], book["Pulls"]["D3"], book["Pulls"]["D4"] = "Controller", 90, 80
    book.save(bare)
    options = batch.Options(workers=1)

    def supplies(options: batch.Options) -> list[tuple[str, str]]:
        rows = csv.DictReader(io.StringIO(make_order([fed, bare], options, silent).csv))
        return [(row["size"], row["quantity"]) for row in rows if row["kind"] == "supply"]

    assert supplies(options) == [("24 V, 35 W", "2")]
    own = tmp_path / "own.json"
    own.write_text(
        json.dumps(
            {"name": "two-wire-35w", "extends": "two-wire-35w", "controller": {"supply_power": "20 W"}}
        )
    )
    assert supplies(batch.Options(workers=1, profile=str(own))) == [
        ("24 V, 20 W", "1"),
        ("rating: see profile two-wire-35w", "1"),
    ]


def _job(path: Path, gauge: str, conductor: str, shielded: str) -> Path:
    """Three pulls of TP16: one that fits a reel, one too long for any, one without a length."""
    book = openpyxl.Workbook()
    pulls = book.active
    pulls.title = "Pulls"
    for row in (
        ["Pull", "From", "To", "Length (ft)", "Cable"],
        ["P1", "C1.1", "K1", 100, "TP16"],
        ["P2", "K1", "K2", 9000, "TP16"],
        ["P3", "K2", "K3", None, "TP16"],
    ):
        pulls.append(row)
    devices, cables = book.create_sheet("Devices"), book.create_sheet("Cables")
    for row in (["Tag", "Power (W)"], ["K1", 0.5], ["K2", 0.5], ["K3", 0.5]):
        devices.append(row)
    cables.append(["Cable", "Conductor", "Conductors", "Stranding", "Shielded"])
    cables.append(["TP16", gauge, 2, conductor, shielded])
    book.save(path)
    return path


@pytest.mark.skipif(os.name == "nt", reason="links that Windows makes for administrators only")
def test_an_order_says_what_it_passes_over(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "oxtarn_barn.xlsx").write_bytes(JOBS[1].read_bytes())
    (tmp_path / "in" / "self").symlink_to("self")
    result = CliRunner().invoke(app, ["order", str(tmp_path / "in"), "--out", str(tmp_path / "order.xlsx")])
    assert result.exit_code == 0
    assert "skipped     self  a link to another place; links are not followed" in result.output.splitlines()


def test_results_that_are_none_are_named(tmp_path: Path) -> None:
    (tmp_path / batch.RESULTS).write_text('{"schema": 1}\n', "utf-8")

    with pytest.raises(AuditorError, match="line 1 is no result of an audit"):
        make_order([tmp_path], batch.Options(), silent)


def test_an_order_overwrites_nothing_and_is_no_csv(checked: Path, tmp_path: Path) -> None:
    for name, wanted in (("order.csv", "is an .xlsx workbook"), ("order.xlsx", "is there already")):
        (tmp_path / name).write_bytes(b"kept")
        done = CliRunner().invoke(app, ["order", str(checked), "--out", str(tmp_path / name)])
        assert wanted in str(done.exception)
        assert (tmp_path / name).read_bytes() == b"kept"
