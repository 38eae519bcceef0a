"""What an order does not hold, and what to see to before it is placed."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from auditor.job.field_words import UNNAMED_CABLE
from auditor.job.listing import names_text
from auditor.report.words import plural
from auditor.results.audit_result import Audit
from auditor.results.findings import Verdict
from auditor.units import length_text

_NAMED = 5  # jobs that a sentence names
_WHY = {
    "not covered": "longer than every reel once its allowances are added",
    "length or unit missing": "without a length or its unit",
    "not planned": "of cable that has no cut list",
}


@dataclass(frozen=True, slots=True)
class Gap:
    """A pull that the order holds no cable for."""

    cable: str
    pull: str  # with its job and its scheduled length
    why: str  # a key of `_WHY`

    @property
    def text(self) -> str:
        return f"{self.why}: {self.pull}"


def gaps(audits: Iterable[Audit]) -> Iterator[Gap]:
    """The pulls that nothing is bought for, job by job."""
    for audit in audits:
        lengths_m = {
            (pull.cable or UNNAMED_CABLE, pull.name or pull.id): pull.length_m for pull in audit.pulls
        }
        planned = {cuts.cable for cuts in audit.cut_lists}
        for cuts in audit.cut_lists:
            for pull in cuts.uncut:
                yield _gap(audit, cuts.cable, pull, lengths_m.get((cuts.cable, pull)), "not covered")
        for each in audit.pulls:
            cable = each.cable or UNNAMED_CABLE
            if not each.length_m:
                yield _gap(audit, cable, each.name or each.id, None, "length or unit missing")
            elif cable not in planned:
                yield _gap(audit, cable, each.name or each.id, each.length_m, "not planned")


def order_warnings(audits: Sequence[Audit], repeated: Sequence[str] = ()) -> list[str]:
    """Sentences for the head of an order.

    Parameters
    ----------
    repeated : names of jobs that were given more than once
    """
    verdicts = Counter(audit.verdict for audit in audits)
    return [
        *_failed_text(verdicts[Verdict.FAIL]),
        *_review_text([audit for audit in audits if audit.verdict is Verdict.REVIEW]),
        *_unreadable_text(verdicts[Verdict.UNREADABLE]),
        *_gaps_text(Counter(gap.why for gap in gaps(audits))),
        *_home_runs_text([audit for audit in audits if audit.port_plan and audit.port_plan.cuts]),
        *_repeated_text(repeated),
    ]


def _gap(audit: Audit, cable: str, pull: str, length_m: float | None, why: str) -> Gap:
    length = f", {length_text(length_m, audit.length_unit)}" if length_m else ""
    return Gap(cable, f"{pull} of {audit.job}{length}", why)


def _failed_text(count: int) -> Iterator[str]:
    if count:
        mend = (
            "the schedule before ordering for it" if count == 1 else "the schedules before ordering for them"
        )
        yield f"{plural(count, 'job')} with verdict fail: mend {mend}."


def _review_text(audits: Sequence[Audit]) -> Iterator[str]:
    if audits:
        lengths = sum(any(not pull.length_m for pull in audit.pulls) for audit in audits)
        missing = f" ({plural(lengths, 'job')} with lengths missing)" if lengths else ""
        yield (
            f"{plural(len(audits), 'job')} with verdict review: lengths or watts may be "
            f"missing{missing}, or a "
            "limit is only just kept, so quantities may be too low; read the findings before ordering."
        )


def _unreadable_text(count: int) -> Iterator[str]:
    if count:
        yield f"{plural(count, 'job')} unreadable: nothing is ordered for {'it' if count == 1 else 'them'}."


def _gaps_text(why: Counter[str]) -> Iterator[str]:
    if why:
        parts = ", ".join(f"{why[each]} {told}" for each, told in _WHY.items() if why[each])
        verb, pronoun = ("is", "it stands") if why.total() == 1 else ("are", "they stand")
        yield (
            f"{plural(why.total(), 'pull')} {verb} not covered by any reel here ({parts}): {pronoun} in the "
            "lines below with quantity 1, to be settled by hand."
        )


def _home_runs_text(audits: Sequence[Audit]) -> Iterator[str]:
    """Cable is ordered as scheduled, controllers as planned: what a plan adds is told apart."""
    lengths_m = [cut.new_home_run_m for audit in audits if audit.port_plan for cut in audit.port_plan.cuts]
    if lengths_m:
        count, total = (
            plural(len(lengths_m), "new home run"),
            length_text(sum(lengths_m), audits[0].length_unit),
        )
        them = "it" if len(lengths_m) == 1 else "them"
        yield (
            f"The port plans of {names_text([audit.job for audit in audits], _NAMED)} need {count}, {total} of "
            f"cable without allowances, not in the lines below: add {them} where the plan is followed."
        )


def _repeated_text(jobs: Sequence[str]) -> Iterator[str]:
    if jobs:
        were = "was given more than once and is" if len(jobs) == 1 else "were given more than once and are"
        yield f"{plural(len(jobs), 'job')} {were} counted once: {names_text(jobs, _NAMED)}."


def alike_warnings(audits: Sequence[Audit]) -> Iterator[str]:
    """A copy under another name, or an annotated copy beside its results, cannot be told from a twin."""
    by_pulls: dict[tuple[object, ...], list[str]] = defaultdict(list)
    for audit in audits:
        pulls = tuple((each.id, each.near, each.far, each.length_m, each.cable) for each in audit.pulls)
        if pulls:
            by_pulls[pulls].append(audit.job)
    for jobs in by_pulls.values():
        if len(jobs) > 1:
            names = names_text(list(dict.fromkeys(jobs)), _NAMED)
            yield f"{names}: {len(jobs)} jobs with the very same pulls; if they are one, give it once."
