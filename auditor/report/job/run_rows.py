"""What stands in each row of a run drawing: the words of an end, and the stroke of the pull that feeds it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from auditor.job.model import CellRef
from auditor.report.job.run_layout import Look, Row, Stroke
from auditor.report.job.run_tree import RunTree, TreeEnd
from auditor.report.words import plural
from auditor.results.audit_result import Audit, PullResult, RunResult
from auditor.results.findings import Finding, Level, Verdict
from auditor.units import LENGTH_M, exceeds, length_text, number_text

MOST_DEVICES = 60  # of a run that are drawn each; of a longer one the rest is summed up where it hangs
_LIFTED = ("loop", "joined-ports")  # rules whose findings name a pull to lift


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the rows of all drawings of a job are told by.

    lift : cell of a pull to lift -> the rule that says so
    steps_a : up to which current a line is thin, and up to which it is medium
    """

    unit: str
    unknown_ends: frozenset[str]
    lift: Mapping[CellRef | None, str]
    reach: Mapping[str, Finding]  # tag -> what the reach rule found of it
    low: frozenset[str]  # devices that get less than the volts that they need
    steps_a: tuple[float, float]


def facts_of(audit: Audit) -> Facts:
    findings = audit.findings
    return Facts(
        unit=audit.length_unit,
        unknown_ends=audit.unknown_ends,
        lift={each.where: each.rule for each in findings if each.rule in _LIFTED and each.where},
        reach={each.subject: each for each in findings if each.rule == "reach"},
        low=frozenset(
            each.subject for each in findings if each.rule == "voltage" and each.level is Level.FAIL
        ),
        steps_a=_steps_a(audit.pulls),
    )


def rows_of(tree: RunTree, facts: Facts) -> list[Row]:
    """The rows of one run, folded where it has more devices than are drawn each."""
    shown, folded = _shown(tree)
    rows: list[Row] = []
    row_of: dict[int, int] = {}
    for place in shown:
        end = tree.ends[place]
        above = None if end.above is None else row_of[end.above]
        row_of[place] = len(rows)
        rows.append(_end_row(end, above, tree.run, facts))
        rows += [_hanging_row(pull, end, row_of[place], tree.run, facts) for pull in end.hanging]
        if place in folded:
            rest = [tree.ends[each] for each in folded[place]]
            rows += _folded_rows(end, rest, row_of[place], len(rows), tree.run, facts)
    return rows


def _shown(tree: RunTree) -> tuple[list[int], Mapping[int, list[int]]]:
    """Places of the ends that have a row, nearest to the source first chosen; and of each whose further ends
    are summed up, those. As many are shown as there are rows."""
    ends = tree.ends
    if tree.devices <= MOST_DEVICES:
        return list(range(len(ends))), {}
    known_m: list[float] = []
    hidden = [0] * len(ends)  # ends right below that are not shown
    for end in ends:
        above_m = 0.0 if end.above is None else known_m[end.above]
        known_m.append(above_m if end.distance_m is None else end.distance_m)
        if end.above is not None:
            hidden[end.above] += 1
    nearest = sorted(range(len(ends)), key=lambda place: (known_m[place], place))
    best, sums = 0, 0
    for count, place in enumerate(nearest, 1):
        above = ends[place].above
        sums += hidden[place] > 0
        if above is not None:
            hidden[above] -= 1
            sums -= hidden[above] == 0
        best = count if count + sums <= MOST_DEVICES + 1 else best
    chosen = set(nearest[:best])
    folded: dict[int, list[int]] = defaultdict(list)
    holder: dict[int, int] = {}  # hidden end -> the shown end that it is summed up at
    for place, end in enumerate(ends):
        if place not in chosen and end.above is not None:
            holder[place] = holder.get(end.above, end.above)
            folded[holder[place]].append(place)
    return sorted(chosen), folded


def _end_row(end: TreeEnd, above: int | None, run: RunResult | None, facts: Facts) -> Row:
    stroke = _stroke(end.pull, facts)
    if above is None and run is not None:
        volts = "" if run.source_voltage_v is None else f", {number_text(run.source_voltage_v)} V"
        return Row(None, 0.0, f"■ {end.name}{volts}", stroke, "source")
    met = "".join(f", × {pull.id}" for pull in end.met if pull.where in facts.lift)
    if end.devices:
        words, look = _device_words(end, run, facts)
        return Row(above, end.distance_m, f"● {end.name}{words}{met}", stroke, look)
    distance = _distance_text(end, facts)
    if end.name in facts.unknown_ends:
        return Row(
            above,
            end.distance_m,
            f"? {end.name}{distance}, nothing that the job lists{met}",
            stroke,
            "strong",
        )
    splice = ", splice" if above is not None else ""
    return Row(above, end.distance_m, f"○ {end.name}{splice}{distance}{met}", stroke, "muted")


def _device_words(end: TreeEnd, run: RunResult | None, facts: Facts) -> tuple[str, Look]:
    device = end.devices[0]
    pieces = sum(each.quantity for each in end.devices)
    count = f" ({len(end.devices)} rows)" if len(end.devices) > 1 else f" ({pieces} devices)" * (pieces > 1)
    volts = "" if device.voltage_v is None else f", {_volts_text(device.voltage_v)}"
    low = end.name in facts.low
    far = _reach_words(end, run, facts)
    strong = low or bool(far)
    return (
        f"{count}{_distance_text(end, facts)}{far}{volts}{', too low' * low}",
        "strong" if strong else "plain",
    )


def _distance_text(end: TreeEnd, facts: Facts) -> str:
    if end.above is None:
        return ""
    if end.distance_m is not None:
        return f", {length_text(end.distance_m, facts.unit, 0)}"
    found = facts.reach.get(end.name)
    if found is None or found.measured is None:
        return ", distance not known"
    return f", at least {length_text(found.measured, facts.unit, 0)}"


def _reach_words(end: TreeEnd, run: RunResult | None, facts: Facts) -> str:
    found = facts.reach.get(end.name)
    if end.distance_m is None and found is not None and found.level is Level.FAIL:
        return " (too far)"
    if run is None or not _too_far(end, run):
        return ""
    unsure = run.derated is None and all(each.verdict is not Verdict.FAIL for each in end.devices)
    return " (too far if derated)" if unsure else " (too far)"


def _too_far(end: TreeEnd, run: RunResult) -> bool:
    return end.distance_m is not None and exceeds(end.distance_m, run.limits.reach_m, "m")


def _hanging_row(pull: PullResult, end: TreeEnd, above: int, run: RunResult | None, facts: Facts) -> Row:
    other = pull.far if pull.near == end.name else pull.near
    to = f" to {other}" if other != end.name else " that ends where it starts"
    length = "" if pull.length_m is None else f", {length_text(pull.length_m, facts.unit, 0)}"
    if not pull.landed:
        return Row(above, None, f"spare {pull.id}{to}{length}", Stroke(0, "dotted"), "muted")
    rule = facts.lift.get(pull.where)
    if rule is None:
        return Row(above, None, f"{pull.id}{to}{length}, closes a loop", Stroke(0, "double"), "muted")
    joins = ", joins ports" if rule == "joined-ports" else ""
    return Row(above, None, f"× lift {pull.id}{to}{length}{joins}", Stroke(0, "double"), "strong")


def _folded_rows(
    end: TreeEnd, rest: Sequence[TreeEnd], above: int, place: int, run: RunResult | None, facts: Facts
) -> list[Row]:
    """The further ends of a branch, e.g. `12 devices more, lowest 21.3 V` and `8 to 310 ft farther` below it."""
    devices = [each for each in rest if each.devices]
    volts = [row.voltage_v for each in devices for row in each.devices if row.voltage_v is not None]
    far = sum(run is not None and _too_far(each, run) for each in devices)
    low = sum(each.name in facts.low for each in devices)
    more = f"… {plural(len(devices), 'device')} more"
    first = [more, f"lowest {_volts_text(min(volts))}" if volts else "", f"{low} too low" if low else ""]
    second = [_span_text(end, devices, facts.unit), f"{far} too far" if far else ""]
    nearest = max((each.pull for each in rest if each.pull), key=lambda pull: pull.current_a or 0.0)
    look: Look = "strong" if far or low else "plain"
    rows = [Row(above, None, ", ".join(filter(None, first)), _stroke(nearest, facts), look)]
    if any(second):
        rows.append(Row(place, None, "    " + ", ".join(filter(None, second)), None, look))
    return rows


def _span_text(end: TreeEnd, devices: Iterable[TreeEnd], unit: str) -> str:
    """How much farther than one end others are."""
    if end.distance_m is None:
        return ""
    farther_m = [each.distance_m - end.distance_m for each in devices if each.distance_m is not None]
    return _range_text(farther_m, unit)


def _range_text(farther_m: Sequence[float], unit: str) -> str:
    if not farther_m:
        return ""
    nearest, farthest = (number_text(each / LENGTH_M[unit], 0) for each in (min(farther_m), max(farther_m)))
    return f"{nearest} to {farthest} {unit} farther" if nearest != farthest else f"{farthest} {unit} farther"


def _volts_text(volts: float) -> str:
    return f"{volts:.1f} V"


def _stroke(pull: PullResult | None, facts: Facts) -> Stroke:
    if pull is None:
        return Stroke()
    weight = sum((pull.current_a or 0.0) > step for step in facts.steps_a)
    return Stroke(weight, "dotted" if pull.length_m is None else "dashed" if pull.off_spec else "solid")


def _steps_a(pulls: Iterable[PullResult]) -> tuple[float, float]:
    """About an eighth and a half of the greatest current of the job, as round figures."""
    most = max((pull.current_a or 0.0 for pull in pulls), default=0.0)
    return _round_down(most / 6), _round_down(most / 2)


def _round_down(value: float) -> float:
    """The next smaller of 1, 2 and 5 times a power of ten; 0 of nothing."""
    steps = [size * 10.0**power for power in range(-4, 5) for size in (1, 2, 5)]
    return max((step for step in steps if step <= value * (1 + 1e-9)), default=0.0)
