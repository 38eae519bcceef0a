"""The record of an audit: one line of `results.jsonl`, after `schemas/result.schema.json`.

A field of the record is only ever added, never renamed or removed.
"""

from typing import Any

from auditor.job.model import CellRef
from auditor.results.audit_result import (
    Audit,
    ControllersResult,
    CutListResult,
    CutReel,
    DeviceResult,
    LimitsResult,
    PortPlanResult,
    PullResult,
    ReelOffer,
    RunResult,
    SupplyResult,
)
from auditor.results.findings import Finding


def record(audit: Audit) -> dict[str, Any]:
    """One line of `results.jsonl`: plain dicts, lists, numbers and text, valid under
    `schemas/result.schema.json`."""
    return {
        "schema": 1,
        "job": audit.job,
        "file": audit.file,
        "sha256": audit.sha256,
        "profile": audit.profile,
        "profile_chosen": audit.profile_chosen,
        "verdict": audit.verdict,
        "problem": audit.problem,
        "runs": [_run(run) for run in audit.runs],
        "controllers": _controllers(audit.controllers),
        "findings": [_finding(finding) for finding in audit.findings],
        "devices": [_device(device) for device in audit.devices],
        "pulls": [_pull(pull) for pull in audit.pulls],
        "port_plan": _port_plan(audit.port_plan),
        "cut_lists": [_cut_list(cut_list) for cut_list in audit.cut_lists],
        "supplies": [_fields(supply, *SupplyResult.__dataclass_fields__) for supply in audit.supplies],
        "length_unit": audit.length_unit,
        "rows_read": audit.rows_read,
        "rows_left_out": audit.rows_left_out,
    }


def _fields(item: Any, *names: str) -> dict[str, Any]:
    return {name: getattr(item, name) for name in names}


def _place(where: CellRef | None) -> dict[str, Any]:
    return {"sheet": where.sheet if where else None, "cell": where.a1 if where else None}


def _run(run: RunResult) -> dict[str, Any]:
    names = [name for name in RunResult.__dataclass_fields__ if name != "limits"]
    limits = _fields(run.limits, *LimitsResult.__dataclass_fields__)
    return _fields(run, *names) | {"limits": limits}


def _controllers(controllers: ControllersResult | None) -> dict[str, Any]:
    if controllers is None:
        return dict.fromkeys(ControllersResult.__dataclass_fields__)
    return _fields(controllers, *ControllersResult.__dataclass_fields__)


def _finding(finding: Finding) -> dict[str, Any]:
    return _fields(finding, "rule", "level", "subject", "message", "measured", "limit", "unit") | _place(
        finding.where
    )


def _device(device: DeviceResult) -> dict[str, Any]:
    names = [name for name in DeviceResult.__dataclass_fields__ if name != "where"]
    return _fields(device, *names) | _place(device.where)


def _pull(pull: PullResult) -> dict[str, Any]:
    names = [
        name for name in PullResult.__dataclass_fields__ if name not in ("near", "far", "where", "branch")
    ]
    return _fields(pull, *names) | {"from": pull.near, "to": pull.far} | _place(pull.where)


def _port_plan(plan: PortPlanResult | None) -> dict[str, Any] | None:
    if plan is None:
        return None
    return {
        "status": plan.status,
        "reason": plan.reason,
        "moves": [{"branch": move.branch, "from": move.origin, "to": move.target} for move in plan.moves],
        "cuts": [_fields(cut, "pull", "new_home_run_m") for cut in plan.cuts],
        "runs": [_run(run) for run in plan.runs],
    }


def _cut_list(cut_list: CutListResult) -> dict[str, Any]:
    names = [
        name
        for name in CutListResult.__dataclass_fields__
        if name not in ("reels", "uncut", "offers", "unmeasured")
    ]
    reels = [_fields(reel, *CutReel.__dataclass_fields__) for reel in cut_list.reels]
    return _fields(cut_list, *names) | {
        "reels": [reel | {"pulls": list(reel["pulls"]), "cut_m": list(reel["cut_m"])} for reel in reels],
        "uncut": list(cut_list.uncut),
        "unmeasured": list(cut_list.unmeasured),
        "offers": [_fields(offer, *ReelOffer.__dataclass_fields__) for offer in cut_list.offers],
    }
