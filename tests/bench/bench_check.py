"""The whole job on one workbook (read, audit, plan, annotate, in process, warm) against bare loads of it;
start-up of the command; memory for 5,000 rows. Ratios of one run; seconds are this machine's."""

import io
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import xlsxwriter

ROUNDS = 15


def workbook(devices: int, per_port: int = 40) -> bytes:
    """Four sheets of a job of which every run is a line of `per_port` devices, 8 ft apart."""
    held = io.BytesIO()
    book = xlsxwriter.Workbook(held, {"in_memory": True})
    list_, pulls = book.add_worksheet("Devices"), book.add_worksheet("Pulls")
    bold = book.add_format({"bold": True, "bg_color": "#DDE6EE", "border": 1})
    for sheet, title in ((list_, "Device list"), (pulls, "Pull schedule")):
        sheet.write_string(0, 0, title, bold)
    list_.write_row(2, 0, ["Tag", "Room", "Type", "Qty", "Power (W)", "Notes"], bold)
    pulls.write_row(2, 0, ["Pull", "From", "To", "Length (ft)", "Cable", "Status", "Notes"], bold)
    for n in range(devices):
        port = n // per_port
        first = n % per_port == 0
        near = f"C{port // 2 + 1}.{port % 2 + 1}" if first else f"K{n}"
        list_.write_row(3 + n, 0, [f"K{n + 1}", f"Room {n // 4}", "keypad", 1, 0.2, ""])
        pulls.write_row(3 + n, 0, [f"P{n + 1}", near, f"K{n + 1}", 8, "TP16", "landed", "stud wall"])
    cable = book.add_worksheet("Cable")
    cable.write_row(
        0, 0, ["Cable", "Gauge", "Conductors", "Stranding", "Shield", "Capacitance (pF/ft)", "Insulation (V)"], bold
    )
    cable.write_row(1, 0, ["TP16", "16 AWG", 2, "stranded", "unshielded", 25, 600])
    notes = book.add_worksheet("Notes")
    for n in range(20):
        notes.write_string(n, 0, f"General note {n + 1}: see drawing")
    book.close()
    return held.getvalue()


def cpu_ms(action: Callable[[], object], rounds: int = ROUNDS) -> float:
    action()
    times = []
    for _ in range(rounds):
        start = time.process_time()
        action()
        times.append(1000 * (time.process_time() - start))
    return statistics.median(times)


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

    outcome = do(Task(path=str(path), name=path.name, output=str(out), profile=None))
    assert outcome.audit.problem is None, outcome.audit.problem
    assert outcome.written


def _ratios(devices: int, rounds: int) -> None:
    content = workbook(devices)
    with tempfile.TemporaryDirectory() as folder:
        path, out = Path(folder, "job.xlsx"), Path(folder, "job.audited.xlsx")
        path.write_bytes(content)
        ours = cpu_ms(lambda: _whole(path, out), rounds)
        bare = cpu_ms(lambda: _calamine(content), rounds)
        other = cpu_ms(lambda: _openpyxl(content), rounds)
    print(
        f"{devices} devices, 4 sheets: whole job {ours:.1f} ms CPU = {ours / other:.3f} x openpyxl load + save "
        f"({other:.1f} ms), {ours / bare:.1f} x bare calamine read ({bare:.1f} ms)"
    )


def _start() -> None:
    def wall_ms(*command: str) -> float:
        times = []
        for _ in range(ROUNDS):
            start = time.perf_counter()
            subprocess.run([sys.executable, *command], check=True, stdout=subprocess.DEVNULL)
            times.append(1000 * (time.perf_counter() - start))
        return statistics.median(times)

    bare, ours = wall_ms("-c", "pass"), wall_ms("-m", "auditor.cli", "--help")
    print(f"auditor --help: {ours:.0f} ms = {ours / bare:.1f} x python -c pass ({bare:.0f} ms)")


def _memory() -> None:
    code = (
        "import sys, tempfile; from pathlib import Path; from tests.bench.bench_check import _whole, workbook\n"
        "folder = tempfile.mkdtemp(); path = Path(folder, 'job.xlsx'); path.write_bytes(workbook(5000))\n"
        "_whole(path, Path(folder, 'out.xlsx'))\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"5,000 rows, peak of the process: {peak:.0f} MiB (the workbook written by the same process)")


def main() -> None:
    _ratios(75, ROUNDS)
    _ratios(5000, 3)
    _start()
    _memory()
