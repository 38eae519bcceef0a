"""A measured job with all that the rules found in it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from auditor.bus.measure import Bus
from auditor.job.model import Job
from auditor.profile.limits import Profile
from auditor.results.findings import Finding, Level, Scope


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A measured job and its findings, sorted by level, worst first, in the rules' order."""

    bus: Bus
    findings: tuple[Finding, ...]
    scopes: Mapping[str, Scope]  # rule -> what its findings count for
    crashed: tuple[str, ...] = ()  # rules and plans of ours that raised

    def scope(self, rule: str) -> Scope:
        """What the findings of a rule count for; those of the reader, which have no rule here, for any."""
        return self.scopes.get(rule, Scope.ANY)

    def failures(self) -> set[tuple[str, str]]:
        """(rule, subject) of every finding that fails."""
        return {(finding.rule, finding.subject) for finding in self.findings if finding.level is Level.FAIL}


Judge = Callable[[Job, Profile], Judged]  # a job measured and judged, without plans of its own
