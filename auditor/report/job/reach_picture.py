"""The native chart of one controller's reach: a row a port, a point a device, a bar at the limit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from auditor.report.page.look import FONT, INK, LINE, MUTED, Look, clean
from auditor.results.audit_result import RunResult

_FAR = "#8E1B1B"
_NEAR = "#5B7FA3"
_NEAR_MARKER = {"type": "circle", "size": 8, "fill": {"color": _NEAR}, "border": {"color": INK}}
_FAR_MARKER = {"type": "x", "size": 10, "fill": {"none": True}, "border": {"color": _FAR, "width": 2.25}}
_PORT_MARKER = {"type": "square", "size": 7, "fill": {"color": INK}, "border": {"color": INK}}
_ROOM = {
    "type": "circle",
    "size": 10,
    "fill": {"none": True},
    "border": {"none": True},
}  # keeps a label clear
_LABEL = 24  # characters
_HALF_BAR = 0.38  # of the bar at a limit, in heights
_WIDTH_PIXELS = 740
_AROUND_PIXELS, _TALLEST_PIXELS = 130, 550
_ABOVE_PIXELS, _BELOW_PIXELS = 30, 78  # for the title; for the axis, its name and the legend


def picture_pixels(ports: int) -> int:
    """The height of a picture."""
    return _AROUND_PIXELS + min(46 * ports, _TALLEST_PIXELS)


_Point = tuple[float, float]  # distance from the port in the look's unit, height


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What a picture shows; the first port stands on top."""

    near: Sequence[_Point]
    far: Sequence[_Point]
    limits: Sequence[_Point]  # of the ports that have one
    ports: Sequence[tuple[int, str]]  # height and name
    farthest: Sequence[tuple[_Point, str]]  # of each port, with its tag

    def blocks(self) -> tuple[Sequence[_Point | None], ...]:
        """The points of each series. Bars are parted by an empty point."""
        bars: list[_Point | None] = []
        for limit, height in self.limits:
            bars += [(limit, height - _HALF_BAR), (limit, height + _HALF_BAR), None]
        ports = [(0.0, float(height)) for height, _ in self.ports]
        return self.near, self.far, bars[:-1], [point for point, _ in self.farthest], ports


def series_of(sheet: str, row: int, column: int, figures: Figures) -> list[dict[str, Any]]:
    """Where the figures stand, rows and columns from 0, two columns a block; with the figures
    themselves, so that a program which does not compute shows the picture too."""
    found = []
    for offset, points in enumerate(figures.blocks()):
        left, last = column + 2 * offset, row + len(points) - 1
        found.append(
            {
                "categories": [sheet, row, left, last, left],
                "values": [sheet, row, left + 1, last, left + 1],
                "categories_data": [point and point[0] for point in points],
                "values_data": [point and point[1] for point in points],
            }
        )
    return found


def picture(
    workbook: Any,
    look: Look,
    controller: str | None,
    runs: Sequence[RunResult],
    figures: Figures,
    series: Sequence[Mapping[str, Any]],
) -> Any:
    """The chart, not yet inserted."""
    chart = workbook.add_chart({"type": "scatter", "subtype": "straight"})
    near, far, limits, farthest, ports = series
    for name, places, drawn, marker in (
        ("within reach", near, figures.near, _NEAR_MARKER),
        ("past the limit", far, figures.far, _FAR_MARKER),
    ):
        if drawn:
            chart.add_series({**places, "name": name, "line": {"none": True}, "marker": marker})
    if figures.limits:
        bar = {"line": {"color": _FAR, "width": 2.5}, "marker": {"type": "none"}}
        chart.add_series({**limits, "name": "limit", **bar})
    _add_labelled(
        chart,
        "farthest",
        farthest,
        [tag for _, tag in figures.farthest],
        _ROOM,
        "above",
        bold=False,
    )
    _add_labelled(chart, "port", ports, [name for _, name in figures.ports], _PORT_MARKER, "left", bold=True)
    _set_axes(chart, look, len(runs), [x for x, _ in (*figures.near, *figures.far, *figures.limits)])
    _set_frame(chart, controller, len(runs))
    return chart


def _add_labelled(
    chart: Any,
    name: str,
    places: Mapping[str, Any],
    texts: Sequence[str],
    marker: Mapping[str, Any],
    position: str,
    *,
    bold: bool,
) -> None:
    """Points that carry a text of their own."""
    font = {"name": FONT, "size": 9} | ({"bold": True} if bold else {})
    labels = {
        "value": True,
        "position": position,
        "custom": [_label_text(text) for text in texts],
        "font": font,
    }
    chart.add_series(
        {**places, "name": name, "line": {"none": True}, "marker": marker, "data_labels": labels}
    )


def _label_text(text: str) -> dict[str, Any]:
    """A label as plain text; the blank in front keeps a leading `=` from being taken for a reference."""
    shown = clean(text)
    return {"value": f" {shown if len(shown) <= _LABEL else shown[: _LABEL - 1] + '…'}"}


def _set_axes(chart: Any, look: Look, ports: int, lengths: Sequence[float]) -> None:
    longest = max(lengths)
    step = _axis_step(longest)
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
    chart.set_y_axis({"min": 0.4, "max": ports + 0.6, **hidden})


def _set_frame(chart: Any, controller: str | None, ports: int) -> None:
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
    chart.set_legend(
        {"position": "bottom", "font": font, "delete_series": [len(chart.series) - 2, len(chart.series) - 1]}
    )
    chart.set_plotarea({"layout": layout})


def _axis_step(longest: float) -> float:
    """A round spacing that gives at most twelve lines."""
    for step in (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000):
        if longest / step <= 12:
            return float(step)
    return float(10 ** len(str(int(longest))))
