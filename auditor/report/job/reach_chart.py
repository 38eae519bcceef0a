"""How far each device is from its port: a picture per controller, and the devices to look at."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from auditor.report.job.reach_missing import write_missing
from auditor.report.job.reach_picture import Figures, picture, picture_pixels, series_of
from auditor.report.page.look import Cell, Column, Look, clean
from auditor.report.page.page import Page
from auditor.report.words import by_controller, devices_by_port, plural
from auditor.results.added_sheets import REACH
from auditor.results.audit_result import Audit, DeviceResult, RunResult
from auditor.results.findings import Verdict
from auditor.units import LENGTH_TOLERANCE_M

_WIDTHS = (18, 28, 14, 14, 14, 14)
_BEHIND = 7  # first column of the figures that the pictures are drawn from, outside the printed area
_TOP = 3  # row of the first picture, and of the figures behind them
_ROW_PIXELS = 20
_PAGE_ROWS = 43  # of such rows on a landscape page, Letter or A4, at the sheet's scale
_TABLE_ROWS = 6  # the fewest rows of the table worth starting it on a page of pictures
_MOST_PICTURES = 40
_MOST_LISTED = 50  # devices of a run that the table lists; the rest is counted


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
    """Writes the sheet: the pictures, then the devices that stand farthest or too far."""
    devices = devices_by_port(audit.devices)
    groups = [(controller, runs, _spots(runs, devices)) for controller, runs in charted_runs(audit).items()]
    pictured = _groups_with_picture(groups)
    tops, top, breaks = _picture_places([picture_pixels(len(runs)) for _, runs, _ in pictured])
    page = Page(sheet, look, _WIDTHS, repeat=(top, top), scale=75)
    sheet.set_h_pagebreaks(breaks)
    page.title(REACH.title_of(audit.job))
    page.text(1, 0, _head_text(len(groups) - len(pictured)), look.muted)
    page.text(_TOP, _BEHIND, "Figures of the pictures", look.muted)
    row = _TOP + 1
    for picture_top, (controller, runs, spots) in zip(tops, pictured, strict=True):
        figures = _picture_figures(look, runs, spots)
        series = series_of(page.name, row, _BEHIND, figures)
        chart = picture(workbook, look, controller, runs, figures, series)
        described = {"object_position": 2, "description": _description(controller, spots)}
        sheet.insert_chart(picture_top, 0, chart, described)
        row = _write_figures(page, row, figures)
    last = _write_table(page, top, [spot for _, _, spots in groups for spot in spots])
    page.finish(write_missing(page, last + 2, audit))


_Group = tuple[str | None, list[RunResult], list[Spot]]


def _groups_with_picture(groups: Sequence[_Group]) -> list[_Group]:
    """The controllers that get a picture: all, or those with a device too far before the others."""
    if len(groups) <= _MOST_PICTURES:
        return list(groups)
    chosen = sorted(groups, key=lambda group: not any(spot.too_far for spot in group[2]))[:_MOST_PICTURES]
    return [group for group in groups if any(group is each for each in chosen)]


def _head_text(without: int) -> str:
    told = (
        f"{REACH.sign}. The upright bar is the limit of the run, derated where its cable is off "
        "specification or not known."
    )
    return f"{told} {plural(without, 'more controller')} only in the table below." if without else told


def _picture_places(heights: Sequence[int]) -> tuple[list[int], int, list[int]]:
    """Rows where the pictures start, the row of the table, and the rows that start a new page: no
    picture is cut in two."""
    tops, breaks, top, start = [], [], _TOP, 0
    for height in heights:
        rows = -(-height // _ROW_PIXELS) + 1
        if top + rows - start > _PAGE_ROWS and top > _TOP:
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


def _write_table(page: Page, top: int, spots: Sequence[Spot]) -> int:
    """The farthest device of each run and those too far, in figures; gives the last row."""
    unit = page.look.unit
    columns = (
        Column("Port", "wrap"),
        Column("Device", "wrap"),
        Column(f"Distance ({unit})", "length"),
        Column(f"Limit ({unit})", "length"),
        Column(f"Room left ({unit})", "length"),
        Column("Reach", "state"),
    )
    rows: list[Sequence[Cell]] = []
    for _, own in groupby(spots, key=lambda spot: spot.run.name):
        farthest_first = list(own)[::-1]
        listed = [farthest_first[0], *(spot for spot in farthest_first[1:] if spot.too_far)]
        rows += [_spot_cells(spot) for spot in listed[:_MOST_LISTED]]
        if len(listed) > _MOST_LISTED:
            more = f"and {len(listed) - _MOST_LISTED:,} more too far"
            rows.append((listed[0].run.name, more, None, None, None, None))
    return page.table(top, columns, rows).last


def _picture_figures(look: Look, runs: Sequence[RunResult], spots: Sequence[Spot]) -> Figures:
    points = [(look.length(spot.device.distance_m or 0.0), spot.height) for spot in spots]
    farthest = {spot.height: (point, spot.device.tag) for spot, point in zip(spots, points, strict=True)}
    limits = [(run.limits.reach_m, len(runs) - index) for index, run in enumerate(runs)]
    return Figures(
        near=[point for spot, point in zip(spots, points, strict=True) if not spot.too_far],
        far=[point for spot, point in zip(spots, points, strict=True) if spot.too_far],
        limits=[(look.length(limit_m), height) for limit_m, height in limits if limit_m is not None],
        ports=[(len(runs) - index, run.name) for index, run in enumerate(runs)],
        farthest=list(farthest.values()),
    )


def _write_figures(page: Page, first: int, figures: Figures) -> int:
    """Writes the figures of one picture beside the printed area; gives the first row below them."""
    blocks = figures.blocks()
    for offset, points in enumerate(blocks):
        for row, point in enumerate(points, first):
            if point is not None:
                page.sheet.put_numbers(row, _BEHIND + 2 * offset, point, page.look.muted)
    return first + max(len(points) for points in blocks)


def _spot_cells(spot: Spot) -> tuple[Cell, ...]:
    limit_m, distance_m = spot.run.limits.reach_m, spot.device.distance_m or 0.0
    room_m = None if limit_m is None else limit_m - distance_m
    past = "review" if spot.unsure else "too far"
    word = None if limit_m is None else past if spot.too_far else "within"
    return (spot.run.name, spot.device.tag, distance_m, limit_m, room_m, word)


def _description(controller: str | None, spots: Sequence[Spot]) -> str:
    far = sum(spot.too_far for spot in spots)
    return clean(
        f"Cable distance of {len(spots)} devices from the ports of controller {controller}; {far} too far."
    )
