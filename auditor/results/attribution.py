"""Which rows and runs each finding counts for: the verdicts of runs, devices and pulls, with reasons.

A row has the worst verdict of the findings in it and of those that its whole run shares: a keypad on a
run that cannot deliver its power is no pass.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from auditor.bus.cables import UNNAMED
from auditor.bus.measure import Bus
from auditor.job.model import CellRef, Row, row_of
from auditor.results.findings import DARK, Finding, Level, Scope, Verdict, fault_of
from auditor.results.judged import Judged

_VERDICT = {Level.FAIL: Verdict.FAIL, Level.REVIEW: Verdict.REVIEW, Level.NOTE: Verdict.PASS}

_BEGINNINGS = ("Cable ", "Pull ", "Pulls ", "The ", "No ")  # of a message, that stand small within a sentence


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """The worst verdict that findings come to, accepted ones left out; pass without any."""
    return max(
        (_VERDICT[finding.level] for finding in findings if finding.accepted is None),
        key=lambda verdict: verdict.severity,
        default=Verdict.PASS,
    )


class Attribution:
    """Which findings speak of which row and of which run as a whole."""

    def __init__(self, judged: Judged) -> None:
        self.judged, bus = judged, judged.bus
        self._rows: dict[Row, list[Finding]] = defaultdict(list)
        self._shared: dict[int, list[Finding]] = defaultdict(list)
        self._of_run: dict[int, list[Finding]] = defaultdict(list)
        self._run_names = [state.run.name for state in bus.runs]
        self._gaps = [state.gaps() for state in bus.runs]
        self._shared_verdicts: dict[int, tuple[Verdict, str, str]] = {}  # run -> what its rows share
        self._by_id = {each.id: each for each in judged.findings}
        named, runs_at, names_at = _runs_by_name(bus), _runs_by_row(bus), _names_by_row(bus)
        kinds = {rule: frozenset(judged.scope(rule)) for rule in {each.rule for each in judged.findings}}
        for finding in judged.findings:
            scope, row = kinds[finding.rule], row_of(finding.where)
            at_row = runs_at.get(row, ()) if row else ()
            if row:
                self._rows[row].append(finding)
            if Scope.ROWS_RUN in scope:
                shared = at_row
            elif Scope.ROW in scope and row and finding.subject in names_at[row]:
                shared = []  # a pull with the id C1 is not the controller C1
            else:
                shared = [run for kind in scope for run in named[kind].get(finding.subject, ())]
            for index in dict.fromkeys(shared):
                self._shared[index].append(finding)
            for index in dict.fromkeys((*shared, *at_row)):
                self._of_run[index].append(finding)

    def run(self, index: int) -> Verdict:
        """The verdict of a run by its place in `Bus.runs`: what it shares and what its rows have."""
        verdict = verdict_of(self._of_run[index])
        return Verdict.REVIEW if self._gaps[index] and verdict is Verdict.PASS else verdict

    def failing(self, index: int) -> tuple[str, ...]:
        """Rules that a run by its place in `Bus.runs` fails: as `run` counts them, each once, as found."""
        failed = (each.rule for each in self._of_run[index] if _fails(each))
        return tuple(dict.fromkeys(failed))

    def row(self, where: CellRef | None, run: int | None) -> tuple[Verdict, str]:
        """The verdict of a row and its reason, its own before what its run has.

        Parameters
        ----------
        run : place of the row's run in `Bus.runs`; None: no run
        """
        row = row_of(where)
        own = _worst_finding(self._rows.get(row, ())) if row else None
        shared, of_run, cause = self._verdict_of_run(run) if run is not None else (Verdict.PASS, "", "")
        since = f", since {cause}" if cause else ""
        if own is None:
            return shared, of_run + since
        verdict, why = _VERDICT[own.level], self._reason(own)
        if verdict.severity >= shared.severity:
            return verdict, why
        return shared, f"{why}. {of_run}" + since * (cause != self._cause(own))

    def _reason(self, finding: Finding) -> str:
        """What a finding says in its row, and what it follows from."""
        cause = self._cause(finding)
        if not cause:
            return finding.message
        return f"Dark since {cause}" if finding.rule == DARK else f"{fault_of(finding)}, since {cause}"

    def _cause(self, finding: Finding) -> str:
        """What a finding follows from, clauses; empty: nothing that is known, or the same fault in another row."""
        named = (self._by_id[id_] for id_ in finding.because if id_ in self._by_id)
        causes = [each for each in named if (each.rule, each.subject) != (finding.rule, finding.subject)]
        return " and ".join(_uncapital(fault_of(each)) for each in causes)

    def _verdict_of_run(self, run: int) -> tuple[Verdict, str, str]:
        """The verdict that all rows of a run share, its reason and what that follows from; a run with gaps is no
        pass."""
        if run not in self._shared_verdicts:
            shared, gaps, name = (
                _worst_finding(self._shared.get(run, ())),
                self._gaps[run],
                self._run_names[run],
            )
            found = Verdict.PASS, "", ""
            if shared is not None:
                verdict = "fails" if shared.level is Level.FAIL else "needs review"
                said = f"Its run, {name}, {verdict}: {shared.rule}"
                found = _VERDICT[shared.level], said, self._cause(shared)
            elif gaps:
                said = f"Its run, {name}, cannot be judged in full: {' and '.join(gaps)}"
                found = Verdict.REVIEW, said, ""
            self._shared_verdicts[run] = found
        return self._shared_verdicts[run]


def _fails(finding: Finding) -> bool:
    return finding.level is Level.FAIL and finding.accepted is None


def _worst_finding(findings: Iterable[Finding]) -> Finding | None:
    judged = [each for each in findings if each.level is not Level.NOTE and each.accepted is None]
    return max(judged, key=lambda finding: finding.level.severity, default=None)


def _uncapital(clause: str) -> str:
    return clause[0].lower() + clause[1:] if clause.startswith(_BEGINNINGS) else clause


def _runs_by_name(bus: Bus) -> Mapping[Scope, Mapping[str, list[int]]]:
    """Kind of a name that stands for whole runs -> the name -> its runs."""
    named: dict[Scope, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for index, state in enumerate(bus.runs):
        run = state.run
        for kind, names in (
            (Scope.RUN, (run.name, *(port.name for port in run.ports))),
            (Scope.CONTROLLER, (*(port.controller for port in run.ports), *run.head_ends)),
            (Scope.CABLE, (pull.cable or UNNAMED for pull in run.pulls)),
        ):
            for name in dict.fromkeys(names):
                named[kind][name].append(index)
    return named


def _runs_by_row(bus: Bus) -> Mapping[Row, Sequence[int]]:
    """Row -> the runs of what stands in it, a run once for each."""
    runs: dict[Row, list[int]] = defaultdict(list)
    for index, state in enumerate(bus.runs):
        devices, pulls = state.run.devices, state.run.pulls
        for where in (*(each.where for each in devices), *(each.where for each in pulls)):
            runs[where.sheet, where.row].append(index)
    return runs


def _names_by_row(bus: Bus) -> dict[Row, set[str]]:
    """Row -> the tag and the pull's id that stand in it."""
    names: dict[Row, set[str]] = defaultdict(set)
    for device in bus.job.devices:
        names[device.where.sheet, device.where.row].add(device.tag)
    for pull in bus.job.pulls:
        names[pull.where.sheet, pull.where.row].add(pull.id)
    return names
