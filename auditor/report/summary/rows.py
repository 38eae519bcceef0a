"""What the summary keeps of each job: the rows that it will show, lengths still in metres."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from auditor.report.buying import Buying
from auditor.report.job.audit_sheet import finding_cells
from auditor.report.page.look import LAST_ROW, Cell, Link, clean, finite
from auditor.report.words import by_controller, growth_text, most_used, plural, supply_of
from auditor.results.audit_result import Audit, RunResult
from auditor.results.findings import Finding, Level

MOST_PER_RULE = 20  # findings of one rule in one job that the summary lists
_ROOM = LAST_ROW - 100  # rows of a sheet that are left for a table

_SAFE_PATH = re.compile(r"(?!/)(?!.*(?:^|/)\.{1,2}(?:/|$))[^\x00-\x1f:\\#%?*|\"<>]{2,200}")


@dataclass(slots=True)
class Rows:
    """Rows of one sheet, no more than a sheet holds."""

    rows: list[Sequence[Cell]] = field(default_factory=list)
    left_out: int = 0

    def extend(self, rows: Iterable[Sequence[Cell]]) -> None:
        for row in rows:
            if len(self.rows) < _ROOM:
                self.rows.append(row)
            else:
                self.left_out += 1


class Gathered:
    """The rows of all jobs."""

    def __init__(self, copies: Mapping[str, str]) -> None:
        self.jobs, self.findings, self.budgets = Rows(), Rows(), Rows()
        self.buying = Buying()
        self._copies = copies
        self._units: Counter[str] = Counter()

    @property
    def unit(self) -> str:
        """The unit of most jobs, feet where there are as many of each."""
        return most_used(self._units)

    def add(self, audit: Audit) -> None:
        self._units[audit.length_unit] += 1
        self.jobs.extend([_job(audit, self._copies.get(audit.file))])
        self.findings.extend(_findings(audit))
        self.budgets.extend(_budgets(audit))
        self.buying.add(audit)


def _is_safe(path: str) -> bool:
    """A path below the summary's own folder, of characters that a link can hold as they are."""
    return _SAFE_PATH.fullmatch(path) is not None and clean(path) == path


def _job(audit: Audit, copy: str | None) -> Sequence[Cell]:
    worst = audit.worst()
    controllers = audit.controllers
    lengths = [length for pull in audit.pulls if (length := finite(pull.length_m)) is not None]
    return (
        audit.verdict,
        audit.job,
        Link(audit.file, f"external:{copy}") if copy and _is_safe(copy) else audit.file,
        audit.problem or (worst.message if worst else None),
        audit.profile,
        audit.profile_chosen,
        len(audit.runs),
        sum(device.quantity for device in audit.devices),
        sum(lengths) if lengths else None,
        _cable_is(len(lengths), len(audit.pulls) - len(lengths)),
        controllers.scheduled if controllers else None,
        controllers.needed if controllers else None,
        audit.rows_read - audit.rows_left_out,
        audit.rows_left_out,
    )


def _cable_is(known: int, without: int) -> str | None:
    told = f"{plural(without, 'pull')} without a length or its unit"
    return None if not without else f"at least: {told}" if known else told


def _findings(audit: Audit) -> Iterable[Sequence[Cell]]:
    """Findings worst first; of each rule at most MOST_PER_RULE, then how many more."""
    ordered = sorted(audit.findings, key=lambda finding: (-finding.level.severity, finding.rule))
    for (level, rule), group in groupby(ordered, key=lambda finding: (finding.level, finding.rule)):
        found = list(group)
        yield from (_finding(audit, finding) for finding in found[:MOST_PER_RULE])
        if len(found) > MOST_PER_RULE:
            yield _more(audit, level, rule, len(found) - MOST_PER_RULE)


def _finding(audit: Audit, finding: Finding) -> Sequence[Cell]:
    level, subject, rule, _, measured, limit, unit, message = finding_cells(finding, audit.length_unit)
    where = finding.where
    sheet, cell = (where.sheet, where.a1) if where else (None, None)
    return (level, audit.job, rule, subject, sheet, cell, measured, limit, unit, message, audit.file)


def _more(audit: Audit, level: Level, rule: str, count: int) -> Sequence[Cell]:
    text = f"and {count:,} more of {rule}: see the annotated copy"
    return (level, audit.job, rule, None, None, None, None, None, None, text, audit.file)


def _budgets(audit: Audit) -> Iterable[Sequence[Cell]]:
    for controller, runs in by_controller(audit.runs).items():
        watts = [finite(run.power_w) for run in runs]
        known = [each for each in watts if each is not None] if None not in watts else []
        supply = supply_of(audit, controller)
        limit_w = supply.power_w if supply and controller is not None else None
        draws_w = sum(known) if known and controller is not None else None
        yield from (_budget(audit, run, draws_w, limit_w) for run in runs)


def _budget(audit: Audit, run: RunResult, draws_w: float | None, limit_w: float | None) -> Sequence[Cell]:
    return (
        run.verdict,
        audit.job,
        run.name,
        run.devices,
        run.power_w,
        run.limits.power_w,
        run.loss_w,
        run.min_voltage_v,
        run.min_voltage_at,
        draws_w,
        limit_w,
        draws_w / limit_w if draws_w is not None and limit_w else None,
        growth_text(run),
    )
