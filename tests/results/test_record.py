"""What is written of an audit is read back as it was."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from auditor.errors import AuditorError
from auditor.results.audit_result import Audit
from auditor.results.record import read_results, record
from tests.test_audit import RICH


def read_back(path: Path, data: dict[str, Any]) -> Audit:
    (path / "results.jsonl").write_text(json.dumps(data) + "\n", "utf-8")
    (audit,) = read_results(path / "results.jsonl")
    return audit


def test_what_an_order_needs_is_read_back_equal(tmp_path: Path) -> None:
    needed = replace(
        RICH,
        runs=(),
        findings=tuple(replace(each, typed=None, refused="") for each in RICH.findings),
        questions=(),
        devices=(),
        port_plan=None,
        tables=(),
        voltage_basis="",
        crashed=(),
        pulls=tuple(replace(pull, branch=None) for pull in RICH.pulls),
    )
    assert needed.findings
    assert any(each.where for each in (*needed.findings, *needed.pulls))
    assert needed.cut_lists
    assert needed.supplies
    assert read_back(tmp_path, record(RICH)) == needed


def test_a_field_that_an_older_program_did_not_write_has_its_default(tmp_path: Path) -> None:
    data = record(RICH)
    del data["supplies"][0]["devices"], data["cut_lists"][0]["keep_from_m"]
    audit = read_back(tmp_path, data)
    assert (audit.supplies[0].devices, audit.cut_lists[0].keep_from_m) == (None, 0.0)


@pytest.mark.parametrize("key", ["job", "verdict", "controllers"])
def test_a_line_without_a_field_that_every_result_has_is_none(tmp_path: Path, key: str) -> None:
    data = record(RICH)
    del data[key]
    with pytest.raises(AuditorError, match=r"results\.jsonl: line 1 is no result of an audit"):
        read_back(tmp_path, data)


def test_controllers_that_are_not_known_are_read_back_so(tmp_path: Path) -> None:
    assert read_back(tmp_path, record(replace(RICH, controllers=None))).controllers is None
