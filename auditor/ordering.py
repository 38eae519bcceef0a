"""An order over many jobs: from an out folder's results, or from workbooks audited for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from auditor import batch
from auditor.errors import AuditorError
from auditor.findings import Audit, CutListResult, PullResult
from auditor.plans.pooling import pooled_cut_lists
from auditor.profile import DEFAULT, load_profile
from auditor.report.order import pooled_name, write_order
from auditor.report.order_lines import Prices, order_csv, order_lines, usual_unit
from auditor.stored import read_results


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """The order workbook, the same lines as CSV, and the jobs in it."""

    workbook: bytes
    csv: str
    audits: tuple[Audit, ...]
    pooled: tuple[CutListResult, ...]


def order(paths: Sequence[Path], options: batch.Options, progress: batch.Progress) -> Order:
    """The order for every job below the paths.

    Parameters
    ----------
    paths : out folders of «check» (their `results.jsonl` is read), workbooks, or folders of workbooks

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
    return _ordered(audits, options)


def _ordered(audits: Sequence[Audit], options: batch.Options) -> Order:
    pulls = _named_pulls(audits)
    pooled = pooled_cut_lists(audits, pooled_name)
    prices = Prices(reels=_reel_prices(pooled))
    connectors = load_profile(options.profile or DEFAULT, options.overrides).cutting.connectors_per_end
    lines = order_lines(audits, pooled, prices=prices, connectors_per_end=connectors, unit=usual_unit(audits))
    workbook = write_order(audits, pooled, pulls=pulls, prices=prices, connectors_per_end=connectors)
    return Order(workbook=workbook, csv=order_csv(lines), audits=tuple(audits), pooled=pooled)


def _named_pulls(audits: Sequence[Audit]) -> dict[str, PullResult]:
    return {pooled_name(audit, pull.id): pull for audit in audits for pull in audit.pulls}


def _reel_prices(pooled: Sequence[CutListResult]) -> dict[tuple[str, float], float]:
    return {
        (cuts.cable, offer.length_m): offer.price
        for cuts in pooled
        for offer in cuts.offers
        if offer.price is not None
    }
