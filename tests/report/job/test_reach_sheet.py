"""The sheet of reach: what stands in its cells, and how it prints."""

import itertools
import re
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from auditor.audit import audit as audited
from auditor.job.model import Job
from auditor.profile.load import load_profile
from auditor.report.job.run_blocks import PANEL_COLUMNS
from auditor.report.job.sheets import job_sheets
from auditor.report.page.sheet import packed
from auditor.results.audit_result import Audit, LimitsResult
from auditor.results.findings import Verdict
from tests.builders import SPEC, job
from tests.builders import pull as pulled
from tests.report.audits import FT, audit, device, full_audit, pull, run
from tests.report.books import opened, parts

PROFILE = load_profile("two-wire-35w")


def reach(made: Audit | Job) -> Worksheet:
    return opened(job_sheets(audited(made, PROFILE) if isinstance(made, Job) else made))["Reach chart"]


def texts(sheet: Worksheet) -> list[str]:
    """The sheet's texts, down the left panel and down the right one, page by page."""
    starts = [0, *(each.id for each in sheet.row_breaks.brk), sheet.max_row]
    found = []
    for first, last in itertools.pairwise(starts):
        for columns in ((1, PANEL_COLUMNS), (PANEL_COLUMNS + 1, sheet.max_column)):
            area = sheet.iter_rows(first + 1, last, *columns)
            found += [cell.value for row in area for cell in row if cell.value is not None]
    return found


def drawn(sheet: Worksheet) -> list[str]:
    return [text for text in texts(sheet) if text.startswith(("■", "●", "×", "…", "?"))]


def test_every_run_is_drawn_in_cells_and_no_picture_is_needed():
    data = job_sheets(full_audit())
    assert not parts(data, r"xl/(charts|drawings|media)/.*")
    sheet = opened(data)["Reach chart"]
    assert sheet["A1"].value == "Reach: Harbour House, level 2"
    assert sheet["A2"].value.startswith("Cable distance from the port to each device")
    assert sum(text.startswith("●") for text in drawn(sheet)) == len(full_audit().devices)
    assert [text for text in drawn(sheet) if "too far" in text] == ["● KP-106, 1,050 ft (too far), 21.9 V"]


def borders(sheet: Worksheet) -> dict[str, set[str]]:
    """Styles of the borders of all cells, by side."""
    cells = [cell for row in sheet.iter_rows(min_row=12) for cell in row]
    return {
        side: {style for cell in cells if (style := getattr(cell.border, side).style)}
        for side in ("left", "right", "top", "bottom")
    }


def test_lines_are_borders_thick_by_load_dashed_where_off_specification_double_where_to_lift():
    cables = {"CAB": SPEC, "THIN": replace(SPEC, name="THIN", area_mm2=0.82, gauge="18 AWG")}
    pulls = [pulled("C1.1", "A"), pulled("A", "B"), pulled("B", "C", cable="THIN")]
    pulls += [*(pulled("C", f"D{number}") for number in range(9)), pulled("D0", "D1")]
    sheet = reach(replace(job(pulls), cables=cables))
    seen = borders(sheet)
    assert (seen["left"], seen["top"]) == (set(), set())
    assert {"thin", "thick", "double"} <= seen["bottom"]
    assert seen["bottom"] & {"dashed", "mediumDashed"}
    assert any("off specification (THIN)" in text for text in texts(sheet))


def test_no_cell_is_written_twice_and_no_text_stands_under_another():
    for made in (full_audit(), audited(long_job(), PROFILE)):
        data = job_sheets(made)
        (xml,) = [each for each in parts(data, r"xl/worksheets/sheet\d+\.xml") if "Reach: " in each]
        places = re.findall(r'<c r="([A-Z]+\d+)"', xml)
        assert len(places) == len(set(places))
        covered: set[tuple[int, int]] = set()
        for each in opened(data)["Reach chart"].merged_cells.ranges:
            cells = {(row, column) for row, column in each.cells}
            assert not cells & covered
            covered |= cells


def long_job() -> Job:
    """118 devices on two ports of two controllers."""
    ends = [(f"C{1 + number // 60}.{1 + number // 30 % 2}", number) for number in range(118)]
    return job(
        [
            pulled(
                port if number % 30 == 0 else f"K{number - 1}" if number % 3 else f"K{number - 3}",
                f"K{number}",
                12,
            )
            for port, number in ends
        ]
    )


def pages(sheet: Worksheet) -> list[tuple[int, int]]:
    starts = [0, *(each.id for each in sheet.row_breaks.brk)]
    return list(zip(starts, [*starts[1:], sheet.max_row], strict=True))


def points(sheet: Worksheet, page: tuple[int, int]) -> float:
    return sum(sheet.row_dimensions[row].height or 15 for row in range(page[0] + 1, page[1] + 1))


def test_sixty_devices_of_a_controller_take_a_page():
    for count in (1, 12, 30, 60):
        made = job(
            [
                pulled(f"C1.{1 + number // 30}" if number % 30 == 0 else f"K{number - 1}", f"K{number}", 12)
                for number in range(count)
            ]
        )
        assert len(pages(reach(made))) == 1
    assert len(pages(reach(long_job()))) == 2


def test_no_page_is_higher_than_the_lower_of_both_papers():
    """A4 landscape is 210 mm high, 1.1 in of it margins."""
    most = (210 / 25.4 - 1.1) * 72 / 0.85
    chain = job([pulled(f"K{n}" if n else "C1.1", f"K{n + 1}", 5) for n in range(60)])
    star = job([pulled(f"C{n}.1", f"K{n}", 5) for n in range(1, 90)])
    for made in (full_audit(), long_job(), chain, star):
        sheet = reach(made)
        assert all(points(sheet, page) <= most for page in pages(sheet))
        assert sheet.print_area.endswith(f"${sheet.max_row}")


def test_controllers_beyond_the_fortieth_have_their_figures_only():
    made = [pulled(f"C{number}.1", f"K{number}", 1100 if number == 42 else 5) for number in range(1, 43)]
    sheet = reach(job(made))
    assert sum(text.startswith("●") for text in drawn(sheet)) == 40
    assert "● K42, 1,100 ft (too far), 24.0 V" in drawn(sheet)
    assert {
        number for number in range(1, 43) if any(text.startswith(f"C{number}.1 (") for text in texts(sheet))
    } == set(range(1, 43))


def test_a_limit_that_may_not_hold_is_not_said_to_be_broken():
    limits = LimitsResult(cable_m=None, reach_m=200 * FT, devices=None, power_w=4.0)
    unsure = run(derated=None, verdict=Verdict.REVIEW, limits=limits)
    assert "● KP-02, 250 ft (too far if derated), 23.1 V" in drawn(reach(audit(runs=(unsure,))))
    broken = run(derated=True, verdict=Verdict.FAIL, limits=limits)
    assert "● KP-02, 250 ft (too far), 23.1 V" in drawn(reach(audit(runs=(broken,))))


def test_a_name_that_looks_like_a_formula_or_has_no_end_does_no_harm():
    for name in ("=1+1", "@x", "n" * 40_000, "\n", "●", "\u202e"):
        made = audit(
            runs=(run(controller=name),),
            devices=(device(name, 5, controller=name),),
            pulls=(pull("P1", 4, far=name, controller=name),),
        )
        sheet = reach(made)
        assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)


@pytest.mark.parametrize("paper", ["letter", "A4"])
def test_printed_it_takes_its_pages_and_cuts_nothing(paper: str, tmp_path: Path):
    """As LibreOffice prints it: all texts whole, each page as many as the sheet says."""
    if shutil.which("soffice") is None or shutil.which("pdftotext") is None:
        pytest.skip("LibreOffice (soffice) or pdftotext is not installed: no second opinion on the print")
    parts_ = dict(job_sheets(audited(long_job(), PROFILE)))
    number = {"letter": b"1", "A4": b"9"}[paper]
    for name, content in parts_.items():
        if name.startswith("xl/worksheets/sheet"):
            parts_[name] = content.replace(b"<pageSetup ", b'<pageSetup paperSize="' + number + b'" ')
    (tmp_path / "book.xlsx").write_bytes(packed(parts_))
    printed = [
        page for page in printed_pages(tmp_path) if page.rstrip().splitlines()[-1].startswith("Reach chart")
    ]
    assert len(printed) == 2
    sheet = opened(parts_)["Reach chart"]
    assert [text for text in drawn(sheet) if " ".join(text.split()) not in squeezed(printed)] == []


def squeezed(printed: Sequence[str]) -> str:
    return " ".join(" ".join(printed).split())


def printed_pages(folder: Path) -> Iterator[str]:
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [
        "soffice",
        profile,
        "--headless",
        "--convert-to",
        "pdf",
        "--outdir",
        str(folder),
        str(folder / "book.xlsx"),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    done = subprocess.run(
        ["pdftotext", "-layout", str(folder / "book.pdf"), "-"],
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    yield from done.stdout.split("\f")[:-1]
