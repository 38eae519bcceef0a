"""Annotating by patching the package against openpyxl load + annotate + save of the same content.

Targets of the project: at most 0.12 for 4 sheets x 120 rows and for 100,000 rows; peak memory at
most 3.5 times that of a bare python-calamine read.
"""

import gc
import io
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial

SIZES = {"4 sheets x 120 rows": (4, 120, 21), "1 sheet x 100,000 rows": (1, 100_000, 3)}


def workbook(sheets: int, rows: int) -> bytes:
    """A workbook as an office keeps it: title, bold header, ten columns of text and numbers."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    header = book.add_format({"bold": True, "bg_color": "#DDE3EA", "border": 1})
    text, number = book.add_format({"border": 1}), book.add_format({"border": 1, "num_format": "0.0"})
    for index in range(sheets):
        sheet = book.add_worksheet(f"Pulls {index}")
        sheet.merge_range("A1:D1", "Cable pulls")
        sheet.freeze_panes(4, 1)
        sheet.set_column(0, 9, 14)
        for column in range(10):
            sheet.write_string(3, column, f"Heading {column}", header)
        for row in range(4, 4 + rows):
            for column in range(10):
                if column % 3:
                    sheet.write_string(row, column, f"room {row * 7 % 900} {column}", text)
                else:
                    sheet.write_number(row, column, row * 1.5 + column, number)
    book.close()
    return out.getvalue()


def additions(sheets: int, rows: int):
    """Six columns a sheet: verdict, reason, port and three figures."""
    from auditor.annotate import AddedColumn, AddedColumns
    from auditor.job.model import Table, TableKind

    numbers = range(5, 5 + rows)
    words = ("pass", "pass", "pass", "review", "fail")
    texts = [
        ("Verdict", "verdict", {row: words[row % 5] for row in numbers}),
        ("Why", "text", {row: f"reach is {row} ft, limit 1,000 ft" for row in numbers if row % 5 > 2}),
        ("Port", "text", {row: f"C{row % 7}.{row % 2 + 1}" for row in numbers}),
    ]
    figures = [
        (name, "number", {row: row * step for row in numbers})
        for name, step in (("Distance", 1.25), ("Volts", 0.01), ("Run total", 3.5))
    ]
    found = []
    for index in range(sheets):
        table = Table(
            kind=TableKind.PULLS,
            sheet=f"Pulls {index}",
            header_row=4,
            first_row=5,
            last_row=4 + rows,
            first_column=1,
            last_column=10,
            rows=tuple(numbers),
        )
        columns = tuple(
            AddedColumn(
                header=name,
                width=40 if name == "Why" else 12,
                kind=kind,
                values=values,
                number_format="0.0" if kind == "number" else None,
            )
            for name, kind, values in texts + figures
        )
        found.append(AddedColumns(table=table, columns=columns))
    return found


def added_sheets() -> bytes:
    """Three small sheets, as the reports write them."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    title, watts = book.add_format({"bold": True, "font_size": 14}), book.add_format({"num_format": "0.0"})
    for name in ("Audit", "Power budget", "Port plan"):
        sheet = book.add_worksheet(name)
        sheet.write_string(0, 0, name, title)
        for row in range(1, 40):
            sheet.write_string(row, 0, f"{name} {row}")
            sheet.write_number(row, 1, row * 2.5, watts)
    book.close()
    return out.getvalue()


def by_openpyxl(source: bytes, added, sheets: bytes) -> bytes:
    """The same cells through an object model."""
    import openpyxl
    from openpyxl.styles import Font

    book = openpyxl.load_workbook(io.BytesIO(source))
    for each in added:
        sheet = book[each.table.sheet]
        for at, column in enumerate(each.columns, each.table.last_column + 1):
            sheet.cell(each.table.header_row, at, column.header).font = Font(bold=True)
            sheet.column_dimensions[openpyxl.utils.get_column_letter(at)].width = column.width
            for row, value in column.values.items():
                sheet.cell(row, at, value)
    for scratch in openpyxl.load_workbook(io.BytesIO(sheets)).worksheets:
        new = book.create_sheet(scratch.title)
        for row in scratch.iter_rows(values_only=True):
            new.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def by_calamine(source: bytes) -> None:
    import python_calamine

    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(source))
    for name in book.sheet_names:
        book.get_sheet_by_name(name).to_python(skip_empty_area=False)


def _cpu_s(actions: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Median CPU seconds of each; one after the other in each round, so that all meet the same machine."""
    found: dict[str, list[float]] = {name: [] for name in actions}
    for _ in range(rounds):
        for name, action in actions.items():
            gc.collect()
            start = time.process_time()
            action()
            found[name].append(time.process_time() - start)
    return {name: statistics.median(times) for name, times in found.items()}


def packed_by_zlib(action: Callable[[], object]) -> None:
    """As on a machine that has no faster packer."""
    from auditor.ooxml import compression

    usual, compression.packer = compression.packer, compression.ZLIB
    try:
        action()
    finally:
        compression.packer = usual


def main() -> None:
    from tests.annotate.calls import annotate, strip

    for name, (sheets, rows, rounds) in SIZES.items():
        source, added, scratch = workbook(sheets, rows), additions(sheets, rows), added_sheets()
        annotated = annotate(source, added, scratch)
        actions: dict[str, Callable[[], object]] = {
            "annotate": partial(annotate, source, added, scratch),
            "by zlib": partial(packed_by_zlib, partial(annotate, source, added, scratch)),
            "again": partial(annotate, annotated, added, scratch),
            "strip": partial(strip, annotated),
            "openpyxl": partial(by_openpyxl, source, added, scratch),
            "calamine": partial(by_calamine, source),
        }
        cpu = _cpu_s(actions, rounds)
        model = cpu["openpyxl"]
        print(
            f"{name}: annotate / openpyxl load+annotate+save = {cpu['annotate'] / model:.3f}; packed by zlib 6 "
            f"{cpu['by zlib'] / model:.3f} (target 0.12)"
        )
        print(
            f"    annotate {cpu['annotate'] * 1000:.1f} ms CPU, openpyxl {model * 1000:.0f}; "
            f"annotate / calamine read {cpu['annotate'] / cpu['calamine']:.1f}"
        )
        print(
            f"    annotate an annotated copy / openpyxl = {cpu['again'] / model:.3f}; "
            f"strip / openpyxl = {cpu['strip'] / model:.3f}"
        )
    _print_peaks()


def _print_peaks() -> None:
    peaks = {each: _peak_mib(each) for each in ("start", "content", "calamine", "annotate")}
    content = peaks["content"] - peaks["start"]
    ratio = (peaks["annotate"] - content) / peaks["calamine"]
    print(
        f"peak memory, 100,000 rows: annotate {peaks['annotate']:.0f} MiB, {content:.0f} of it the content handed "
        f"over; calamine read {peaks['calamine']:.0f} MiB; ratio without the content {ratio:.1f} (target 3.5)"
    )


def _peak_mib(what: str) -> float:
    """The greatest memory of a process of its own that does one thing (on Linux)."""
    code = (
        "import re, sys, tests.bench.bench_writeback as bench\n"
        f"bench.once({what!r}, sys.stdin.buffer.read())\n"
        "print(int(re.search(r'VmHWM:\\s*(\\d+)', open('/proc/self/status').read())[1]) / 1024)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], input=workbook(1, 100_000), capture_output=True, check=True
    )
    return float(done.stdout)


def once(what: str, source: bytes) -> None:
    if what == "calamine":
        by_calamine(source)
    if what in ("content", "annotate"):
        added = additions(1, 100_000)
    if what == "annotate":
        from tests.annotate.calls import annotate

        annotate(source, added, None)


if __name__ == "__main__":
    main()
