"""The whole job on one workbook (read, audit, plan, annotate, in process, warm) against bare loads of it;
peak memory. Ratios of one run; seconds are this machine's."""

import io
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROUNDS = 15


def workbook(devices: int, per_port: int = 40) -> bytes:
    """A job of four full sheets (devices, pulls, rooms, labels) of ten columns, with styles, merged
    titles and formulas; each run is a line of `per_port` devices, 8 ft apart."""
    import xlsxwriter

    held = io.BytesIO()
    book = xlsxwriter.Workbook(held, {"in_memory": True})
    styles = {
        "title": book.add_format({"bold": True, "font_size": 14}),
        "head": book.add_format({"bold": True, "bg_color": "#DDE6EE", "border": 1, "text_wrap": True}),
        "cell": book.add_format({"border": 1}),
        "number": book.add_format({"border": 1, "num_format": "0.0"}),
    }
    device_rows, pull_rows, room_rows, label_rows = [], [], [], []
    for n in range(devices):
        port, first = n // per_port, n % per_port == 0
        near = f"C{port // 2 + 1}.{port % 2 + 1}" if first else f"K{n}"
        tag, room = f"K{n + 1}", f"Room {n // 4}"
        device_rows.append([tag, room, "keypad", 1, 0.2, "=D{row}*E{row}", "flush", "white", f"Door {n}", ""])
        pull_rows.append([f"P{n + 1}", near, tag, 8, "TP16", "landed", "=D{row}*1.1", 24, 90, "stud wall"])
        room_rows.append(
            [room, n // 40, 24.5, "plaster", "carpet", 2.7, 2, "=C{row}*F{row}", "yes", f"Use {n % 7}"]
        )
        label_rows.append([f"L{n + 1}", tag, room, "12 mm", "white", 1, "A", "=F{row}*2", "printed", ""])
    heads = (
        (
            "Devices",
            ["Tag", "Room", "Type", "Qty", "Power (W)", "Total (W)", "Mounting", "Colour", "Place", "Notes"],
        ),
        (
            "Pulls",
            [
                "Pull",
                "From",
                "To",
                "Length (ft)",
                "Cable",
                "Status",
                "With slack (ft)",
                "Mains distance (in)",
                "Mains crossing (deg)",
                "Notes",
            ],
        ),
        (
            "Rooms",
            ["Room name", "Storey", "Area", "Wall", "Floor", "Height", "Doors", "Volume", "Heated", "Use"],
        ),
        (
            "Labels",
            [
                "Sticker",
                "Text",
                "Where",
                "Height",
                "Colour",
                "Count",
                "Series",
                "Both sides",
                "State",
                "Remarks",
            ],
        ),
    )
    for (name, heading), rows in zip(heads, (device_rows, pull_rows, room_rows, label_rows), strict=True):
        _sheet(book, name, heading, rows, styles)
    cables = book.get_worksheet_by_name("Pulls")
    start = devices + 8
    cables.write_row(
        start,
        0,
        ["Cable", "Gauge", "Conductors", "Stranding", "Shield", "Capacitance (pF/ft)", "Insulation (V)"],
        styles["head"],
    )
    cables.write_row(start + 1, 0, ["TP16", "16 AWG", 2, "stranded", "unshielded", 25, 600], styles["cell"])
    book.close()
    return held.getvalue()


def _sheet(book: Any, name: str, heading: list[str], rows: list[list[Any]], styles: dict[str, Any]) -> None:
    sheet = book.add_worksheet(name)
    sheet.merge_range(0, 0, 0, 9, f"{name} of the benchmark job", styles["title"])
    sheet.write_row(3, 0, heading, styles["head"])
    sheet.set_column(0, 9, 14)
    sheet.freeze_panes(4, 1)
    for at, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, str) and value.startswith("="):
                sheet.write_formula(4 + at, column, value.format(row=at + 5), styles["number"], 8.8)
            elif isinstance(value, str):
                sheet.write_string(4 + at, column, value, styles["cell"])
            else:
                sheet.write_number(4 + at, column, value, styles["number"])


def cpu_ms(actions: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Median CPU milliseconds of each, warm; in turn in each round, so that all meet the same machine."""
    found: dict[str, list[float]] = {name: [] for name in actions}
    for round_ in range(rounds + 1):
        for name, action in actions.items():
            start = time.process_time()
            action()
            if round_:
                found[name].append(1000 * (time.process_time() - start))
    return {name: statistics.median(times) for name, times in found.items()}


def _openpyxl(content: bytes) -> None:
    import openpyxl

    openpyxl.load_workbook(io.BytesIO(content)).save(io.BytesIO())


def _calamine(content: bytes) -> None:
    import python_calamine

    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
    for name in book.sheet_names:
        book.get_sheet_by_name(name).to_python(skip_empty_area=False)


def _whole(path: Path, out: Path) -> None:
    from auditor.batch.work import Task, do

    out.unlink(missing_ok=True)  # an earlier copy would be looked into first
    outcome = do(Task(path=str(path), name=path.name, output=str(out), profile=None))
    assert [audit.problem for audit in outcome.audits if audit.problem] == []
    assert outcome.written


def _ratios(devices: int, rounds: int) -> None:
    content = workbook(devices)
    with tempfile.TemporaryDirectory() as folder:
        path, out = Path(folder, "job.xlsx"), Path(folder, "job.audited.xlsx")
        path.write_bytes(content)
        subjects = {
            "ours": lambda: _whole(path, out),
            "calamine": lambda: _calamine(content),
            "openpyxl": lambda: _openpyxl(content),
        }
        ours, bare, other = cpu_ms(subjects, rounds).values()
    print(
        f"4 sheets of {devices} rows and 10 columns: whole job {ours:.1f} ms CPU = {ours / other:.3f} x openpyxl load + save "
        f"({other:.1f} ms), {ours / bare:.1f} x bare calamine read ({bare:.1f} ms)"
    )


def _memory(rows: int) -> None:
    """Peaks of processes that do one thing each, on a workbook of 4 sheets made before."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "job.xlsx")
        path.write_bytes(workbook(rows))
        peaks = {
            what: float(subprocess.check_output([sys.executable, "-m", __name__, what, str(path)]))
            for what in ("calamine", "whole")
        }
    print(
        f"4 sheets of {rows:,} rows, peak memory: whole job {peaks['whole']:.0f} MiB = "
        f"{peaks['whole'] / peaks['calamine']:.2f} x bare calamine read ({peaks['calamine']:.0f} MiB; target 3.5 at "
        "100,000 rows)"
    )


def _peak_of(what: str, path: Path) -> None:
    if what == "whole":
        _whole(path, path.with_suffix(".audited.xlsx"))
    else:
        _calamine(path.read_bytes())
    status = Path("/proc/self/status").read_text()  # Linux; getrusage would count the parent's memory too
    print(int(re.search(r"VmHWM:\s*(\d+)", status)[1]) / 1024)


def main() -> None:
    print("targets: 0.5 x openpyxl load + save at 150 rows; 0.22 x and 4.5 x calamine at 120 rows (not met)")
    _ratios(150, ROUNDS)
    _ratios(120, ROUNDS)
    _ratios(5000, 3)
    _memory(5000)
    _memory(25_000)


if __name__ == "__main__":
    _peak_of(sys.argv[1], Path(sys.argv[2]))
