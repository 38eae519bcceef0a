"""An order over many jobs: from an out folder's results, or from workbooks audited for it."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from auditor import batch
from auditor.errors import AuditorError
from auditor.order.labels import Labels, labels
from auditor.order.lines import Prices, order_csv, order_lines
from auditor.order.pooled_cuts import pooled_cut_lists
from auditor.order.warnings import alike_warnings, order_warnings
from auditor.order.workbook import pooled_name, write_order
from auditor.profile.choice import surely_shipped
from auditor.profile.load import DEFAULT, load_profile, shipped_names
from auditor.report.cable_names import named_apart
from auditor.results.audit_result import Audit, CutListResult, PullResult
from auditor.results.record import read_results


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """The order workbook, the same lines as CSV, the jobs in it, their labels, and what to see to first."""

    workbook: bytes
    csv: str
    audits: tuple[Audit, ...]
    pooled: tuple[CutListResult, ...]
    labels: Labels
    warnings: tuple[str, ...]
    passed_over: tuple[tuple[str, str], ...] = ()  # what is no job below the paths, and why


def make_order(paths: Sequence[Path], options: batch.Options, progress: batch.Progress) -> Order:
    """The order for every job below the paths.

    Parameters
    ----------
    paths : out folders of «check» (their `results.jsonl` is read), workbooks, or folders of workbooks;
        a job that is met twice, the same file with the same content, is counted once

    Raises
    ------
    AuditorError : a path that is not there, no job at all
    """
    audits: list[Audit] = []
    workbooks = []
    for path in paths:
        if (path / batch.RESULTS).is_file():
            audits += read_results(path / batch.RESULTS)
        else:
            workbooks.append(path)
    if workbooks:
        audits += batch.audits_only(workbooks, options, progress)
    if not any(audit.cut_lists for audit in audits):
        raise AuditorError("there is nothing to order: no job here has a pull with a length")
    passed_over = tuple((found.name, found.skipped) for found in batch.passed_over(workbooks))
    return replace(_order_of(audits, options), passed_over=passed_over)


def _order_of(given: Sequence[Audit], options: batch.Options) -> Order:
    once, repeated = _each_once(given)
    audits = named_apart(_jobs_apart(once))
    pulls = _named_pulls(audits)
    pooled = pooled_cut_lists(audits, pooled_name)
    prices = Prices(reels=_reel_prices(pooled))
    connectors = load_profile(options.profile or DEFAULT, options.overrides).cutting.connectors_per_end
    supplies = {name: load_profile(name).controller for name in _shipped_profiles(audits)}
    lines = order_lines(audits, pooled, prices=prices, connectors_per_end=connectors, supplies=supplies)
    warnings = [*order_warnings(audits, repeated), *alike_warnings(audits)]
    workbook = write_order(
        audits, pooled, lines, pulls={name: pull for name, (_, pull) in pulls.items()}, warnings=warnings
    )
    return Order(
        workbook=workbook,
        csv=order_csv(lines, warnings),
        audits=tuple(audits),
        pooled=pooled,
        labels=labels(pooled, pulls),
        warnings=tuple(warnings),
    )


def _each_once(audits: Iterable[Audit]) -> tuple[list[Audit], list[str]]:
    """Each job once, and the names of those that were there more than once."""
    kept: list[Audit] = []
    seen: set[tuple[str, str]] = set()
    repeated: dict[str, None] = {}
    for audit in audits:
        key = (audit.sha256, audit.file)
        if key in seen:
            repeated[audit.job] = None
            continue
        kept.append(audit)
        if audit.sha256:  # a file that could not be read is never known to be another
            seen.add(key)
    return kept, list(repeated)


def _shipped_profiles(audits: Sequence[Audit]) -> list[str]:
    """Those that judged; not where a file may have judged under the same name."""
    by_file = {audit.profile for audit in audits if not surely_shipped(audit.profile_chosen)}
    names = {audit.profile for audit in audits} - by_file
    return [name for name in shipped_names() if name in names]


def _jobs_apart(audits: Sequence[Audit]) -> list[Audit]:
    """The audits with a name of its own for each job: behind one that several have, its file, and which
    job of it."""
    jobs = Counter(audit.job for audit in audits)
    return [
        replace(audit, job=f"{audit.job} ({', '.join(filter(None, (audit.file, audit.part)))})")
        if jobs[audit.job] > 1
        else audit
        for audit in audits
    ]


def _named_pulls(audits: Sequence[Audit]) -> dict[str, tuple[Audit, PullResult]]:
    """What a pull is called over many jobs -> its job and the pull."""
    return {
        pooled_name(audit, pull.name or pull.id): (audit, pull) for audit in audits for pull in audit.pulls
    }


def _reel_prices(pooled: Sequence[CutListResult]) -> dict[tuple[str, float], float]:
    return {
        (cuts.cable, offer.length_m): offer.price
        for cuts in pooled
        for offer in cuts.offers
        if offer.price is not None
    }
