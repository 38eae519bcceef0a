"""The result of one job: verdicts, findings and figures, and their record for `results.jsonl`.

Every quantity is in the project's own unit; `record` writes the contract of
`schemas/result.schema.json`, in which a field is only ever added.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from auditor.model import CellRef, Table


class Verdict(StrEnum):
    PASS = "pass"
    REVIEW = "review"  # could not be judged in full, or keeps a limit only just
    FAIL = "fail"
    UNREADABLE = "unreadable"

    @property
    def severity(self) -> int:
        return _SEVERITY[self]


class Level(StrEnum):
    NOTE = "note"  # said, does not change a verdict
    REVIEW = "review"
    FAIL = "fail"

    @property
    def severity(self) -> int:
        return _SEVERITY[self]


_SEVERITY: dict[str, int] = {each: place for kind in (Verdict, Level) for place, each in enumerate(kind)}


class Status(StrEnum):
    """What is known of a plan."""

    PROVEN = "proven"
    BEST_FOUND = "best-found"
    IMPOSSIBLE = "impossible"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found in a job, in one sentence that says what to do."""

    rule: str
    level: Level
    subject: str  # a tag, a pull's id, or `controller.port`
    message: str
    where: CellRef | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsResult:
    cable_m: float | None
    reach_m: float | None
    devices: int | None
    power_w: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunResult:
    """One run: everything joined to one port, or one branch without a port."""

    controller: str | None
    port: str | None  # None: an unassigned branch, with its first pull in `branch`
    branch: str | None
    cable_m: float | None
    reach_m: float | None
    farthest: str | None
    devices: int
    power_w: float | None
    current_a: float | None
    min_voltage_v: float | None
    min_voltage_at: str | None
    loss_w: float | None
    capacitance_nf: float | None
    loops: int
    derated: bool | None  # None: cannot be judged, a cable's properties are unknown
    growth_margin: float | None
    first_limit: str | None
    limits: LimitsResult
    verdict: Verdict
    source_voltage_v: float | None = None
    idle_power_w: float | None = None  # None: no device states an idle figure

    @property
    def name(self) -> str:
        if self.port is not None:
            return f"{self.controller}.{self.port}"
        return f"branch {self.branch}" if self.branch else "not fed"


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllersResult:
    scheduled: int
    needed: int | None
    lower_bound: int | None
    status: Status | None
    driven_by: str | None = None  # the limit that drives the number: "cable", "devices" or "power"


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyResult:
    """One controller's supply. `None`: neither the workbook nor the profile says."""

    controller: str
    voltage_v: float | None
    power_w: float | None  # what its runs may draw together: the rating, less any derating
    devices: int | None = None  # how many devices the controller may serve


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceResult:
    tag: str
    controller: str | None
    port: str | None
    distance_m: float | None
    voltage_v: float | None
    power_w: float | None  # of the row: quantity times the power of one
    suggested_controller: str | None
    suggested_port: str | None
    verdict: Verdict
    why: str = ""  # the worst finding in one sentence
    quantity: int = 1
    where: CellRef | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PullResult:
    id: str
    near: str
    far: str
    length_m: float | None
    cable: str | None
    controller: str | None
    port: str | None
    reel: str | None
    verdict: Verdict
    why: str = ""
    landed: bool = True
    name: str = ""  # the id, told apart by its ends where several pulls have the same; as cut lists name it
    branch: str | None = None  # of a run without a port, its first pull; not recorded, the run has it
    where: CellRef | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A branch that goes to another port; `origin` None: no port was scheduled."""

    branch: str
    origin: str | None
    target: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A pull that is lifted, with the new home run that feeds its far end."""

    pull: str
    new_home_run_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlanResult:
    status: Status
    reason: str | None  # why it is impossible, or what is not proven
    moves: tuple[Move, ...]
    cuts: tuple[Cut, ...]
    runs: tuple[RunResult, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutReel:
    """One reel and what is cut from it, in cutting order."""

    reel: str  # its name for the crew, e.g. "R3"
    length_m: float
    pulls: tuple[str, ...]
    cut_m: tuple[float, ...]  # length to cut for each pull, allowances and waste included
    offcut_m: float
    on_shelf: bool = False  # taken from stock, not bought


@dataclass(frozen=True, slots=True, kw_only=True)
class ReelOffer:
    """A reel that could be had: to be bought in any number, or so many on the shelf."""

    length_m: float
    price: float | None = None
    on_shelf: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutListResult:
    cable: str
    status: Status
    lower_bound: float | None  # of the cost where all reels have prices, else of the metres bought
    cost: float | None
    bought_m: float
    needed_m: float
    reels: tuple[CutReel, ...]
    uncut: tuple[str, ...] = ()  # pulls that no reel is long enough for
    offers: tuple[ReelOffer, ...] = ()  # the reels that were planned with
    spec: str = ""  # what the schedule states of the cable, e.g. "16 AWG, 2 conductors, stranded"
    length_unit: str = "ft"  # the schedule's own
    unmeasured: tuple[str, ...] = ()  # pulls without a length, for which nothing is cut
    keep_from_m: float = 0.0  # a shorter offcut is scrap


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """What the audit of one job came to. Immutable; everything that a report shows is in it."""

    job: str
    file: str = ""
    sha256: str = ""
    profile: str | None
    profile_chosen: str = ""  # which rule of precedence chose the profile, in words
    verdict: Verdict
    problem: str | None = None  # one sentence, when unreadable
    runs: tuple[RunResult, ...] = ()
    controllers: ControllersResult | None = None
    findings: tuple[Finding, ...] = ()
    devices: tuple[DeviceResult, ...] = ()
    pulls: tuple[PullResult, ...] = ()
    port_plan: PortPlanResult | None = None
    cut_lists: tuple[CutListResult, ...] = ()
    length_unit: str = "ft"
    tables: tuple[Table, ...] = ()
    rows_read: int = 0
    rows_left_out: int = 0
    supplies: tuple[SupplyResult, ...] = ()
    voltage_basis: str = ""  # for headings, e.g. "30 degC, constant power"
    crashed: tuple[str, ...] = field(default=())  # rules of ours that raised

    def worst(self) -> Finding | None:
        """The finding that the job's line shows: the first of the highest level, notes left out."""
        judged = [finding for finding in self.findings if finding.level is not Level.NOTE]
        return max(judged, key=lambda finding: finding.level.severity, default=None)

    def stamped(self, *, file: str, sha256: str, profile_chosen: str) -> "Audit":
        """The same audit with the file it came from."""
        return replace(self, file=file, sha256=sha256, profile_chosen=profile_chosen)


def worst_verdict(verdicts: Iterable[Verdict]) -> Verdict:
    return max(verdicts, key=lambda verdict: verdict.severity, default=Verdict.PASS)


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
