"""How far each device is from its port: a picture per controller, and the figures behind it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from auditor.findings import Audit, DeviceResult, RunResult, Verdict
from auditor.report.grid import Page
from auditor.report.look import Cell, Column, Look, clean
from auditor.report.reach_picture import Places, picture, picture_pixels
from auditor.report.words import by_controller, devices_by_port
from auditor.units import LENGTH_TOLERANCE_M

_WIDTHS = (16, 28, 14, 14, 14, 12, 24)
_BEHIND = 8  # first column of the points' heights and so on, outside the printed area
_ROW_PIXELS = 20
_PAGE_ROWS = 36  # of such rows on a landscape page, Letter or A4, at the sheet's scale
_TABLE_ROWS = 6  # the fewest rows of the table worth starting it on a page of pictures


@dataclass(frozen=True, slots=True)
class Spot:
    """One device on the picture."""

    run: RunResult
    height: int  # the first port stands on top
    device: DeviceResult

    @property
    def unsure(self) -> bool:
        """The limit is the derated one, and nobody knows whether it holds."""
        return self.run.derated is None and self.device.verdict is not Verdict.FAIL

    @property
    def too_far(self) -> bool:
        limit_m = self.run.limits.reach_m
        return limit_m is not None and (self.device.distance_m or 0.0) > limit_m + LENGTH_TOLERANCE_M


def charted_runs(audit: Audit) -> dict[str | None, list[RunResult]]:
    """Runs with a device whose distance is known, under their controllers."""
    placed = devices_by_port(device for device in audit.devices if device.distance_m is not None)
    return by_controller(run for run in audit.runs if run.port and (run.controller, run.port) in placed)


def reach_chart_sheet(workbook: Any, sheet: Any, look: Look, audit: Audit) -> None:
    """Writes the sheet: the pictures, then the distances behind them."""
    groups = charted_runs(audit)
    tops, top, breaks = _places([picture_pixels(len(runs)) for runs in groups.values()])
    page = Page(sheet, look, _WIDTHS, repeat=(top, top), scale=90)
    sheet.set_h_pagebreaks(breaks)
    page.title(f"Reach: {audit.job}")
    told = "Cable distance from the port to each device. The upright bar is the limit of the run, derated where its "
    told += "cable is off specification or not known."
    page.text(1, 0, told, look.muted)
    devices = devices_by_port(audit.devices)
    spots = [_spots(runs, devices) for runs in groups.values()]
    first = _table(page, top, [spot for group in spots for spot in group])
    bars = first
    for picture_top, (controller, runs), group in zip(tops, groups.items(), spots, strict=True):
        places = _behind(page, first, bars, runs, group)
        chart = picture(workbook, look, controller, runs, group, places)
        described = {"object_position": 2, "description": _described(controller, group)}
        sheet.insert_chart(picture_top, 0, chart, described)
        first, bars = places.last + 1, bars + 3 * len(runs)
    page.finish(first - 1)


def _places(heights: Sequence[int]) -> tuple[list[int], int, list[int]]:
    """Rows where the pictures start, the row of the table, and the rows that start a new page: no
    picture is cut in two."""
    tops, breaks, top, start = [], [], 3, 0
    for height in heights:
        rows = -(-height // _ROW_PIXELS) + 1
        if top + rows - start > _PAGE_ROWS and top > 3:
            breaks.append(top)
            start = top
        tops.append(top)
        top += rows
    if top - start > _PAGE_ROWS - _TABLE_ROWS:
        breaks.append(top)
    return tops, top, breaks


def _spots(
    runs: Sequence[RunResult], devices: dict[tuple[str | None, str | None], list[DeviceResult]]
) -> list[Spot]:
    spots = []
    for index, run in enumerate(runs):
        own = [
            device for device in devices.get((run.controller, run.port), ()) if device.distance_m is not None
        ]
        own.sort(key=lambda device: (device.distance_m or 0.0, device.tag))
        spots += [Spot(run, len(runs) - index, device) for device in own]
    return spots


def _table(page: Page, top: int, spots: Sequence[Spot]) -> int:
    """The distances in figures; gives the first row below the heading."""
    unit = page.look.unit
    columns = (
        Column("Port", "wrap"),
        Column("Device", "wrap"),
        Column(f"Distance ({unit})", "length"),
        Column(f"Limit ({unit})", "length"),
        Column(f"Room left ({unit})", "length"),
        Column("Reach", "state"),
    )
    page.text(top, _BEHIND, "Heights and bars of the pictures", page.look.muted)
    return page.table(top, columns, [_cells(spot) for spot in spots]).first


def _behind(page: Page, first: int, bars: int, runs: Sequence[RunResult], spots: Sequence[Spot]) -> Places:
    """What one picture needs besides the table: heights of the points, ports, ends of the bars."""
    write, look = page.sheet.write_number, page.look
    for row, spot in enumerate(spots, first):
        write(row, _BEHIND + spot.too_far, spot.height, look.muted)
    for index, run in enumerate(runs):
        height, row = len(runs) - index, bars + 3 * index  # each third row stays empty: it parts two bars
        write(bars + index, _BEHIND + 4, 0, look.muted)
        write(bars + index, _BEHIND + 5, height, look.muted)
        if run.limits.reach_m is not None:
            for offset, end in enumerate((-0.38, 0.38)):
                write(row + offset, _BEHIND + 2, look.length(run.limits.reach_m), look.muted)
                write(row + offset, _BEHIND + 3, height + end, look.muted)
    return Places(page.name, first, first + len(spots) - 1, bars, _BEHIND)


def _cells(spot: Spot) -> tuple[Cell, ...]:
    limit_m, distance_m = spot.run.limits.reach_m, spot.device.distance_m or 0.0
    room_m = None if limit_m is None else limit_m - distance_m
    past = "review" if spot.unsure else "too far"
    word = None if limit_m is None else past if spot.too_far else "within"
    return (spot.run.name, spot.device.tag, distance_m, limit_m, room_m, word)


def _described(controller: str | None, spots: Sequence[Spot]) -> str:
    far = sum(spot.too_far for spot in spots)
    return clean(
        f"Cable distance of {len(spots)} devices from the ports of controller {controller}; {far} too far."
    )
