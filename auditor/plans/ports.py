"""temporary"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from auditor.bus import Bus
from auditor.findings import Audit, ControllersResult, PortPlanResult
from auditor.limits import Profile
from auditor.model import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlanning:
    controllers: ControllersResult
    plan: PortPlanResult | None
    suggested_port: Mapping[str, str]


def plan_ports(seen: Bus, reaudit: Callable[[Job, Profile], Audit]) -> PortPlanning:
    return PortPlanning(
        controllers=ControllersResult(
            scheduled=len(seen.job.controllers), needed=None, lower_bound=None, status=None
        ),
        plan=None,
        suggested_port={},
    )
