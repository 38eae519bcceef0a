"""The native chart of one controller's reach: a row a port, a point a device, a bar at the limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from auditor.findings import DeviceResult, RunResult
from auditor.report.look import FONT, INK, LINE, MUTED, Look, clean

_FAR = "#8E1B1B"
_NEAR = "#5B7FA3"
_LABEL = 24  # characters
_WIDTH_PIXELS = 850
_AROUND_PIXELS, _TALLEST_PIXELS = 130, 550
_ABOVE_PIXELS, _BELOW_PIXELS = 30, 78  # for the title; for the axis, its name and the legend


def picture_pixels(ports: int) -> int:
    """The height of a picture."""
    return _AROUND_PIXELS + min(46 * ports, _TALLEST_PIXELS)


class _Spot(Protocol):
    @property
    def run(self) -> RunResult: ...
    @property
    def height(self) -> int: ...
    @property
    def device(self) -> DeviceResult: ...
    @property
    def too_far(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Places:
    """Where the figures stand, rows and columns from 0: distances in column 2; from column
    `behind` the heights within reach and too far, the bars' x and y, the ports' x and y."""

    sheet: str
    first: int  # of the points
    last: int
    bars: int  # first row of the bars, three a port, and of the ports, one each
    behind: int

    def points(self, column: int) -> list[str | int]:
        return [self.sheet, self.first, column, self.last, column]

    def beside(self, column: int, rows: int) -> list[str | int]:
        return [self.sheet, self.bars, self.behind + column, self.bars + rows - 1, self.behind + column]


def picture(
    workbook: Any,
    look: Look,
    controller: str | None,
    runs: Sequence[RunResult],
    spots: Sequence[_Spot],
    places: Places,
) -> Any:
    """The chart, not yet inserted."""
    chart = workbook.add_chart({"type": "scatter", "subtype": "straight"})
    near = {"type": "circle", "size": 8, "fill": {"color": _NEAR}, "border": {"color": INK}}
    far = {"type": "x", "size": 10, "fill": {"none": True}, "border": {"color": _FAR, "width": 2.25}}
    _points(chart, "within reach", near, spots, places, far=False)
    _points(chart, "past the limit", far, spots, places, far=True)
    if any(run.limits.reach_m is not None for run in runs):
        chart.add_series(
            {
                "name": "limit",
                "categories": places.beside(2, 3 * len(runs) - 1),
                "values": places.beside(3, 3 * len(runs) - 1),
                "line": {"color": _FAR, "width": 2.5},
                "marker": {"type": "none"},
            }
        )
    _ports(chart, runs, places)
    _axes(chart, look, runs, spots)
    _frame(chart, controller, len(runs))
    return chart


def _points(
    chart: Any, name: str, marker: dict[str, Any], spots: Sequence[_Spot], places: Places, *, far: bool
) -> None:
    if not any(spot.too_far is far for spot in spots):
        return
    farthest = {spot.height: index for index, spot in enumerate(spots)}
    labels = [
        _label(spot.device.tag)
        if farthest[spot.height] == index and spot.too_far is far
        else {"delete": True}
        for index, spot in enumerate(spots)
    ]
    chart.add_series(
        {
            "name": name,
            "categories": places.points(2),
            "values": places.points(places.behind + far),
            "line": {"none": True},
            "marker": marker,
            "data_labels": {
                "value": True,
                "position": "above",
                "custom": labels,
                "font": {"name": FONT, "size": 9},
            },
        }
    )


def _label(text: str) -> dict[str, Any]:
    """A label as plain text; the blank in front keeps a leading `=` from being taken for a reference."""
    shown = clean(text)
    return {"value": f" {shown if len(shown) <= _LABEL else shown[: _LABEL - 1] + '…'}"}


def _ports(chart: Any, runs: Sequence[RunResult], places: Places) -> None:
    chart.add_series(
        {
            "name": "port",
            "categories": places.beside(4, len(runs)),
            "values": places.beside(5, len(runs)),
            "line": {"none": True},
            "marker": {"type": "square", "size": 7, "fill": {"color": INK}, "border": {"color": INK}},
            "data_labels": {
                "value": True,
                "position": "left",
                "custom": [_label(run.name) for run in runs],
                "font": {"name": FONT, "size": 9, "bold": True},
            },
        }
    )


def _axes(chart: Any, look: Look, runs: Sequence[RunResult], spots: Sequence[_Spot]) -> None:
    limits = [look.length(run.limits.reach_m) for run in runs if run.limits.reach_m is not None]
    longest = max([look.length(spot.device.distance_m or 0.0) for spot in spots] + limits)
    step = _step(longest)
    font = {"name": FONT, "size": 9, "color": MUTED}
    chart.set_x_axis(
        {
            "name": f"Cable distance from the port ({look.unit})",
            "name_font": font | {"bold": False},
            "num_font": font,
            "num_format": "#,##0",
            "min": 0,
            "max": step * max(1, -(-longest * 1.04 // step)),
            "major_unit": step,
            "major_gridlines": {"visible": True, "line": {"color": LINE, "width": 0.5}},
        }
    )
    hidden = {"visible": False, "major_gridlines": {"visible": False}}
    chart.set_y_axis({"min": 0.4, "max": len(runs) + 0.6, **hidden})


def _frame(chart: Any, controller: str | None, ports: int) -> None:
    pixels = picture_pixels(ports)
    chart.set_size({"width": _WIDTH_PIXELS, "height": pixels})
    layout = {
        "x": 0.12,
        "y": _ABOVE_PIXELS / pixels,
        "width": 0.85,
        "height": (pixels - _ABOVE_PIXELS - _BELOW_PIXELS) / pixels,
    }
    title = {"name": clean(f"Controller {controller}"), "name_font": {"name": FONT, "size": 11}}
    chart.set_title(title)
    font = {"name": FONT, "size": 9, "color": MUTED}
    chart.set_legend({"position": "bottom", "font": font, "delete_series": [len(chart.series) - 1]})
    chart.set_plotarea({"layout": layout})


def _step(longest: float) -> float:
    """A round spacing that gives at most twelve lines."""
    for step in (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000):
        if longest / step <= 12:
            return float(step)
    return float(10 ** len(str(int(longest))))
