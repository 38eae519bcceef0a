"""The run drawings of a job with their headings, in the order they are read."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from auditor.job.listing import names_text
from auditor.report.job.run_layout import (
    Drawing,
    Label,
    Line,
    Look,
    Row,
    Ruler,
    laid_out,
    ruler_for,
    ticks,
    width,
)
from auditor.report.job.run_rows import Facts, rows_of
from auditor.report.job.run_tree import RunTree, devices_without_pull, run_trees
from auditor.report.words import plural, supply_of
from auditor.results.audit_result import Audit, RunResult
from auditor.units import LENGTH_M, length_text, number_text

PANEL_COLUMNS = 69
_BREAK = re.compile(r" (?!(?:ft|m|V|A|W)\b)")  # a figure stays with its unit
_MOST_CONTROLLERS = 40  # that are drawn; of the others each run has its line of figures
_MOST_PIECES = 20  # that no port feeds and that are drawn
_MOST_NAMED = 60  # devices without a pull that are named


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One run: lines of its heading, then its drawing."""

    name: str
    heads: tuple[Label, ...]  # a row each
    drawing: Drawing = field(default_factory=lambda: Drawing(0, (), ()))
    ticks: tuple[Label, ...] = ()  # of the ruler, in the drawing's first row
    marks: tuple[Line, ...] = ()  # of the ruler

    @property
    def rows(self) -> int:
        return len(self.heads) + self.drawing.rows


def run_blocks(audit: Audit, facts: Facts) -> list[Block]:
    """The controllers' runs, then what no port feeds. None of a job without a landed pull."""
    trees = run_trees(audit)
    if not trees:
        return []
    fed = [tree for tree in trees if tree.run is not None]
    groups: dict[tuple[str | None, str | None], list[RunTree]] = {}
    for tree in fed:
        assert tree.run is not None
        groups.setdefault((tree.run.controller, tree.run.head_end), []).append(tree)
    drawn = _drawn(groups.values())
    blocks: list[Block] = []
    for (controller, head_end), group in groups.items():
        heading = _controller_text(audit, controller) if controller else head_end or ""
        blocks += _group_blocks(heading, group, facts, drawn=any(group is each for each in drawn))
    pieces = [tree for tree in trees if tree.run is None]
    blocks += _group_blocks("Not fed by any port", pieces[:_MOST_PIECES], facts, drawn=True)
    return [*blocks, *_left_over(audit, len(pieces) - _MOST_PIECES)]


def _drawn(groups: Collection[list[RunTree]]) -> list[list[RunTree]]:
    """All controllers, or those with something to mend before the others."""
    severity = {id(group): max(tree.run.verdict.severity for tree in group if tree.run) for group in groups}
    return sorted(groups, key=lambda group: -severity[id(group)])[:_MOST_CONTROLLERS]


def _group_blocks(heading: str, trees: Sequence[RunTree], facts: Facts, *, drawn: bool) -> Iterator[Block]:
    """The blocks of one controller, all on one scale; its name stands over the first."""
    rows = [rows_of(tree, facts) if drawn else [] for tree in trees]
    ruler = ruler_for(rows, PANEL_COLUMNS)
    for index, (tree, own) in enumerate(zip(trees, rows, strict=True)):
        name = _name_of(tree)
        heads = [] if index else [_head(heading, "source")]
        heads += [_head(line, "plain") for line in wrapped(_figures_text(tree, facts), PANEL_COLUMNS)]
        limit_m = tree.run.limits.reach_m if tree.run else None
        yield _block(name, heads, own, ruler, facts.unit, limit_m)


def _block(
    name: str, heads: Sequence[Label], rows: Sequence[Row], ruler: Ruler, unit: str, limit_m: float | None
) -> Block:
    if not rows:
        return Block(name=name, heads=tuple(heads))
    drawing = laid_out(rows, ruler, PANEL_COLUMNS)
    figures, marks = ticks(ruler, LENGTH_M[unit], unit, drawing.labels[0].to_x + 1, limit_m)
    return Block(name=name, heads=tuple(heads), drawing=drawing, ticks=tuple(figures), marks=tuple(marks))


def _left_over(audit: Audit, pieces: int) -> Iterator[Block]:
    """In words: the pieces that are not drawn, and the devices at which no pull ends."""
    texts = [f"{plural(pieces, 'further piece')} of cable that no port feeds"] if pieces > 0 else []
    if tags := devices_without_pull(audit):
        texts.append(f"No landed pull ends at {names_text(tags, _MOST_NAMED)}.")
    for text in texts:
        yield Block(name="", heads=tuple(_head(line, "plain") for line in wrapped(text, PANEL_COLUMNS)))


def _head(text: str, look: Look) -> Label:
    return Label(0, 0, PANEL_COLUMNS, text, look)


def _name_of(tree: RunTree) -> str:
    if tree.run is None:
        return tree.ends[0].name
    return tree.run.name if tree.run.port else f"{tree.run.head_end}, {tree.run.name}"


def _controller_text(audit: Audit, controller: str) -> str:
    supply = supply_of(audit.supplies, controller)
    volts = f", {number_text(supply.voltage_v)} V" if supply and supply.voltage_v is not None else ""
    watts = f", {number_text(supply.power_w)} W" if supply and supply.power_w is not None else ""
    return f"Controller {controller}{volts}{watts}"


def _figures_text(tree: RunTree, facts: Facts) -> str:
    if tree.run is None:
        why = next((device.why for end in tree.ends for device in end.devices if device.why), "")
        first = tree.ends[0].name
        return f"{first}: {plural(tree.devices, 'device')}. {why or f'nothing feeds {first}'}"
    run, unit = tree.run, facts.unit
    parts = [
        plural(run.devices, "device"),
        "" if run.cable_m is None else f"{length_text(run.cable_m, unit, 0)} of cable",
        _farthest_text(run, unit),
        _lowest_text(run),
        {True: "derated by off-specification cable", None: "cable not judged", False: ""}[run.derated],
        "load not known" if run.current_a is None else "",
    ]
    return f"{_name_of(tree)} ({run.verdict}): {', '.join(filter(None, parts))}"


def _farthest_text(run: RunResult, unit: str) -> str:
    if run.reach_m is None:
        return "reach not known"
    limit = "" if run.limits.reach_m is None else f" of {length_text(run.limits.reach_m, unit, 0)}"
    return f"farthest {run.farthest} at {number_text(run.reach_m / LENGTH_M[unit], 0)}{limit or ' ' + unit}"


def _lowest_text(run: RunResult) -> str:
    return (
        f"lowest {run.min_voltage_v:.1f} V at {run.min_voltage_at}"
        if run.min_voltage_v is not None
        else "volts not known"
    )


def wrapped(text: str, room: int) -> Iterator[str]:
    """The lines of a text in a row of so many columns."""
    line = ""
    for word in _BREAK.split(text):
        longer = f"{line} {word}".strip()
        if line and width(longer) > room:
            yield line
            longer = word
        line = longer
    yield line
