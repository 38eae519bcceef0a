"""Jobs with cut lists, for orders."""

from collections.abc import Sequence

from auditor.order.lines import order_lines
from auditor.order.warnings import order_warnings
from auditor.order.workbook import write_order
from auditor.results.audit_result import (
    Audit,
    CutListResult,
    CutReel,
    Status,
)
from tests.report.audits import FT, audit


def reel(name: str, length_ft: float, *pulls: str, on_shelf: bool = False) -> CutReel:
    cut_m = (100 * FT,) * len(pulls)
    left_m = length_ft * FT - sum(cut_m)
    return CutReel(
        reel=name, length_m=length_ft * FT, pulls=pulls, cut_m=cut_m, offcut_m=left_m, on_shelf=on_shelf
    )


def cut_list(*reels: CutReel, cable: str = "16/2", cost: float | None = None, **changes) -> CutListResult:
    needed_m = sum(sum(each.cut_m) for each in reels)
    bought_m = sum(each.length_m for each in reels if not each.on_shelf)
    return CutListResult(
        cable=cable,
        status=Status.PROVEN,
        lower_bound=None,
        cost=cost,
        bought_m=bought_m,
        needed_m=needed_m,
        reels=reels,
        **changes,
    )


def job(name: str, **changes) -> Audit:
    return audit(**{"job": name, "cut_lists": (cut_list(reel("R1", 500, "P1"), cost=90.0),)} | changes)


POOLED = cut_list(
    reel("R1", 500, "Gull: P1", "Mill: P1"), reel("R2", 250, "Mill: P2", on_shelf=True), cost=90.0
)

JOBS = [job("Gull"), job("Mill")]


def order(jobs: Sequence[Audit], pooled: Sequence[CutListResult], **wanted) -> bytes:
    lines = order_lines(jobs, pooled, **wanted)
    return write_order(jobs, pooled, lines, warnings=order_warnings(jobs))
