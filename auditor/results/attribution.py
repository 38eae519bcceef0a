"""Of what each finding speaks: the verdicts of runs, devices and pulls, each with its reason.

A row is as bad as the worst finding in it and the worst that its whole run shares: a keypad on a
run that cannot deliver its power is no pass.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from auditor.bus.cables import UNNAMED
from auditor.bus.measure import Bus, RunState
from auditor.job.model import CellRef
from auditor.results.findings import Finding, Level, Verdict

_VERDICT = {Level.FAIL: Verdict.FAIL, Level.REVIEW: Verdict.REVIEW, Level.NOTE: Verdict.PASS}
_SHARED = frozenset(("loop", "joined-ports"))  # speak of one pull, concern the whole run
_ABOUT_RUNS = frozenset(("run-length", "device-count", "power", "capacitance", "cable-spec"))

Row = tuple[str, int]


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """The worst verdict that findings come to; pass without any."""
    return max(
        (_VERDICT[finding.level] for finding in findings),
        key=lambda verdict: verdict.severity,
        default=Verdict.PASS,
    )


class Attribution:
    """Which findings speak of which row and of which run as a whole."""

    def __init__(self, bus: Bus, findings: Iterable[Finding]) -> None:
        self._rows: dict[Row, list[Finding]] = defaultdict(list)
        self._shared: dict[int, list[Finding]] = defaultdict(list)
        self._of_run: dict[int, list[Finding]] = defaultdict(list)
        self._run_names = [state.run.name for state in bus.runs]
        self._gaps = [state.gaps() for state in bus.runs]
        self._shares: dict[int, tuple[Verdict, str]] = {}  # run -> what its rows share
        subjects, rows, names = _subjects(bus), _rows(bus), _names(bus)
        for finding in findings:
            row = _row(finding.where)
            at_row = rows.get(row, ()) if row else ()
            shared = subjects.get(finding.subject, ())
            if row:
                self._rows[row].append(finding)
            if finding.rule in _SHARED:
                shared = at_row
            elif finding.rule not in _ABOUT_RUNS and row and finding.subject in names[row]:
                shared = ()  # a pull with the id C1 is not the controller C1
            for index in shared:
                self._shared[index].append(finding)
            for index in dict.fromkeys((*shared, *at_row)):
                self._of_run[index].append(finding)

    def run(self, index: int) -> Verdict:
        """The verdict of a run by its place in `Bus.runs`: what it shares and what its rows have."""
        verdict = verdict_of(self._of_run[index])
        return Verdict.REVIEW if self._gaps[index] and verdict is Verdict.PASS else verdict

    def row(self, where: CellRef | None, run: int | None) -> tuple[Verdict, str]:
        """The verdict of a row and its reason in one sentence.

        Parameters
        ----------
        run : place of the row's run in `Bus.runs`; None: no run
        """
        row = _row(where)
        own = _worst(self._rows.get(row, ())) if row else None
        shared = self._of_its_run(run) if run is not None else (Verdict.PASS, "")
        if own is not None and _VERDICT[own.level].severity >= shared[0].severity:
            return _VERDICT[own.level], own.message
        return shared

    def _of_its_run(self, run: int) -> tuple[Verdict, str]:
        """What all rows of a run share. What could not be judged never counts as a pass."""
        if run not in self._shares:
            shared, gaps, name = _worst(self._shared.get(run, ())), self._gaps[run], self._run_names[run]
            found = Verdict.PASS, ""
            if shared is not None:
                verdict = "fails" if shared.level is Level.FAIL else "needs review"
                found = _VERDICT[shared.level], f"Its run, {name}, {verdict}: {shared.rule}"
            elif gaps:
                found = Verdict.REVIEW, f"Its run, {name}, cannot be judged in full: {' and '.join(gaps)}"
            self._shares[run] = found
        return self._shares[run]


def _worst(findings: Sequence[Finding]) -> Finding | None:
    if not findings:
        return None
    judged = [finding for finding in findings if finding.level is not Level.NOTE]
    return max(judged, key=lambda finding: finding.level.severity, default=None)


def _row(where: CellRef | None) -> Row | None:
    return (where.sheet, where.row) if where else None


def _subjects(bus: Bus) -> dict[str, list[int]]:
    """Names that stand for whole runs: the run's own, its controller's, its cables'."""
    subjects: dict[str, list[int]] = defaultdict(list)
    for index, state in enumerate(bus.runs):
        controllers = (port.controller for port in state.run.ports)
        cables = (pull.cable or UNNAMED for pull in state.run.pulls)
        for name in dict.fromkeys((state.run.name, *state.run.sources, *controllers, *cables)):
            subjects[name].append(index)
    return subjects


def _rows(bus: Bus) -> dict[Row, list[int]]:
    rows: dict[Row, list[int]] = defaultdict(list)
    for index, state in enumerate(bus.runs):
        for where in _places(state):
            row = _row(where)
            if row and index not in rows[row]:
                rows[row].append(index)
    return rows


def _names(bus: Bus) -> dict[Row, set[str]]:
    names: dict[Row, set[str]] = defaultdict(set)
    for device in bus.job.devices:
        names[device.where.sheet, device.where.row].add(device.tag)
    for pull in bus.job.pulls:
        names[pull.where.sheet, pull.where.row].add(pull.id)
    return names


def _places(state: RunState) -> Iterable[CellRef]:
    yield from (device.where for device in state.run.devices)
    yield from (pull.where for pull in state.run.pulls)
