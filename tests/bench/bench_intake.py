"""Reading a workbook (bytes to Job) against python-calamine's bare read of the same bytes: CPU time and
peak memory. Ratios of one run, the two interleaved; milliseconds are this machine's."""

import io
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import xlsxwriter

_PEAK = """
import sys
data = open(sys.argv[1], "rb").read()
if sys.argv[2] == "calamine":
    import io, python_calamine
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    kept = [book.get_sheet_by_index(i).to_python(skip_empty_area=False) for i in range(len(book.sheet_names))]
else:
    from auditor.intake import read_job
    kept = read_job(data, "job.xlsx")
print(next(line for line in open("/proc/self/status") if line.startswith("VmHWM")).split()[1])
"""


def workbook(rows: int, sheets: int) -> bytes:
    """Half of the sheets device lists, half pull schedules, 12 columns each, `rows` rows a sheet."""
    held = io.BytesIO()
    book = xlsxwriter.Workbook(held, {"constant_memory": False, "in_memory": True})
    bold = book.add_format({"bold": True, "bg_color": "#DDE6EE", "border": 1})
    number = book.add_format({"num_format": "0.0"})
    for part in range(sheets // 2):
        base = part * rows
        devices = book.add_worksheet(f"Devices {part + 1}")
        devices.merge_range(0, 0, 0, 5, "Device list", bold)
        devices.write_row(2, 0, _DEVICES, bold)
        pulls = book.add_worksheet(f"Pulls {part + 1}")
        pulls.merge_range(0, 0, 0, 5, "Cable pull schedule", bold)
        pulls.write_row(2, 0, _PULLS, bold)
        for n in range(base, base + rows):
            row = n - base + 3
            devices.write_row(row, 0, _device(n))
            devices.write_number(row, 4, 0.2 + n % 5 / 10, number)
            pulls.write_row(row, 0, _pull(n))
    book.close()
    return held.getvalue()


_DEVICES = [
    "Tag",
    "Room",
    "Type",
    "Qty",
    "Power (W)",
    "Notes",
    "Floor",
    "Height (mm)",
    "Drawing",
    "By",
    "Rev",
    "Checked",
]
_PULLS = [
    "Pull",
    "From",
    "To",
    "Length (ft)",
    "Cable",
    "Status",
    "Notes",
    "Route",
    "Floor",
    "By",
    "Rev",
    "Checked",
]


def _device(n: int) -> list[object]:
    return [
        f"K{n + 1}",
        f"Room {n // 4}",
        "keypad",
        1,
        None,
        "",
        n % 4,
        1100,
        f"E-{n % 30}",
        "RM",
        "B",
        "yes",
    ]


def _pull(n: int) -> list[object]:
    near = f"C{n // 80 + 1}.{n // 40 % 2 + 1}" if n % 40 == 0 else f"K{n}"
    return [
        f"P{n + 1}",
        near,
        f"K{n + 1}",
        8 + n * 13 % 30,
        "TP16",
        "landed",
        "stud wall",
        "ceiling",
        n % 4,
        "RM",
        "B",
        "yes",
    ]


def _calamine(data: bytes) -> None:
    import python_calamine

    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    for index in range(len(book.sheet_names)):
        book.get_sheet_by_index(index).to_python(skip_empty_area=False)


def _ours(data: bytes) -> None:
    from auditor.intake import read_job

    read_job(data, "job.xlsx")


def ratio(data: bytes, rounds: int) -> tuple[float, float]:
    """(calamine's CPU time [ms], ours over calamine's), medians of interleaved rounds."""
    times: dict[Callable[[bytes], None], list[float]] = {_calamine: [], _ours: []}
    for action in times:
        action(data)
    for _ in range(rounds):
        for action, spent in times.items():
            start = time.process_time()
            action(data)
            spent.append(1000 * (time.process_time() - start))
    bare, ours = (statistics.median(spent) for spent in times.values())
    return bare, ours / bare


def peak_mib(path: Path, what: str) -> float:
    """Of a fresh process; the kernel's high-water mark of its own memory, not its parent's."""
    done = subprocess.run(
        [sys.executable, "-c", _PEAK, str(path), what], capture_output=True, text=True, check=True
    )
    return int(done.stdout) / 1024


def main() -> None:
    for label, data, rounds in (
        ("small: 4 sheets x 120 rows", workbook(120, 4), 31),
        ("large: 2 sheets, 100,000 rows", workbook(50_000, 2), 3),
    ):
        bare, times = ratio(data, rounds)
        print(f"{label}: bare read {bare:.1f} ms, read to Job {times:.2f} times that (target 2.5)")
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "job.xlsx"
            path.write_bytes(data)
            bare_mib, ours_mib = peak_mib(path, "calamine"), peak_mib(path, "job")
        print(
            f"{label}: peak {bare_mib:.0f} MiB bare, {ours_mib / bare_mib:.2f} times that to Job (target 3)"
        )


if __name__ == "__main__":
    main()
