"""The line at the foot of every printed sheet."""

from dataclasses import replace

from auditor.job.model import TitleBlock
from auditor.report.identity import MOST_LETTERS, identity
from auditor.report.job.sheets import job_sheets
from auditor.results.findings import Verdict
from tests.report.audits import audit, full_audit
from tests.report.books import opened

BLOCK = TitleBlock(number="4711", revision="C", dated="1 March 2026", date="2026-03-01", status="as built")


def test_all_that_is_known_stands_there() -> None:
    assert identity(audit(title_block=BLOCK, verdict=Verdict.FAIL)) == (
        "Gull Cottage · no. 4711 · rev. C · 2026-03-01 · as built · audit: fail · profile two-wire-35w"
    )
    assert identity(audit()) == "Gull Cottage · audit: pass · profile two-wire-35w"


def test_a_date_that_cannot_be_told_stands_as_written_and_a_number_that_is_the_name_once() -> None:
    block = TitleBlock(number="Gull Cottage", dated="03/04/2026")
    assert (
        identity(audit(title_block=block)) == "Gull Cottage · 03/04/2026 · audit: pass · profile two-wire-35w"
    )


def test_a_long_name_gives_way() -> None:
    line = identity(audit(job="Gull " * 60, title_block=BLOCK))
    assert len(line) <= MOST_LETTERS
    assert line.endswith("… · no. 4711 · rev. C · 2026-03-01 · as built · audit: pass · profile two-wire-35w")


def test_every_added_sheet_has_it_in_its_footer_and_text_is_no_code() -> None:
    job = replace(full_audit(), job="1 & 2 Mill Row", title_block=BLOCK)
    for sheet in opened(job_sheets(job)):
        left, right = sheet.oddFooter.left.text, sheet.oddFooter.right.text
        assert left.strip().splitlines()[0] == identity(job).replace("&", "&&"), sheet.title
        assert "Page" in right
