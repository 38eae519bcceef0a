"""`results.jsonl` read back: one audit a line, for orders and other work over jobs already audited."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from auditor.errors import AuditorError
from auditor.results.audit_result import (
    Audit,
    ControllersResult,
    CutListResult,
    CutReel,
    PullResult,
    ReelOffer,
    Status,
    SupplyResult,
)
from auditor.results.findings import Verdict


def read_results(path: Path) -> Iterator[Audit]:
    """The audits of a `results.jsonl`, with what an order needs: pulls, controllers, supplies, cut lists.

    Raises
    ------
    AuditorError : a line that this program did not write; names it
    """
    with path.open(encoding="utf-8") as lines:
        for number, line in enumerate(lines, 1):
            try:
                yield _audit(json.loads(line))
            except (ValueError, KeyError, TypeError, AttributeError):
                raise AuditorError(
                    f"{path}: line {number} is no result of an audit; run «auditor check» again"
                ) from None


def _audit(data: dict[str, Any]) -> Audit:
    return Audit(
        job=data["job"],
        file=data["file"],
        sha256=data["sha256"],
        profile=data["profile"],
        profile_chosen=data["profile_chosen"],
        verdict=Verdict(data["verdict"]),
        problem=data["problem"],
        controllers=_controllers(data["controllers"]),
        pulls=tuple(_pull(pull) for pull in data["pulls"]),
        cut_lists=tuple(_cut_list(cuts) for cuts in data["cut_lists"]),
        supplies=tuple(SupplyResult(**supply) for supply in data["supplies"]),
        length_unit=data["length_unit"],
        rows_read=data["rows_read"],
        rows_left_out=data["rows_left_out"],
    )


def _controllers(data: dict[str, Any]) -> ControllersResult | None:
    if data["scheduled"] is None:
        return None
    status = None if data["status"] is None else Status(data["status"])
    return ControllersResult(**{**data, "status": status})


def _pull(data: dict[str, Any]) -> PullResult:
    kept = {key: value for key, value in data.items() if key not in ("from", "to", "sheet", "cell")}
    return PullResult(
        **{**kept, "near": data["from"], "far": data["to"], "verdict": Verdict(data["verdict"])}
    )


def _cut_list(data: dict[str, Any]) -> CutListResult:
    reels = [{**reel, "pulls": tuple(reel["pulls"]), "cut_m": tuple(reel["cut_m"])} for reel in data["reels"]]
    return CutListResult(
        **{
            **data,
            "status": Status(data["status"]),
            "reels": tuple(CutReel(**reel) for reel in reels),
            "uncut": tuple(data["uncut"]),
            "unmeasured": tuple(data["unmeasured"]),
            "offers": tuple(ReelOffer(**offer) for offer in data["offers"]),
        }
    )
