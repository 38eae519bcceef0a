"""All plans of a measured job: its cut lists, its port plan, and what would remedy its voltages."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from auditor.bus.measure import Bus
from auditor.plans.cut_lists import CutLists, cut_lists
from auditor.plans.ports import PortPlanning, plan_ports
from auditor.plans.remedies import VOLTAGE, remedies
from auditor.results.judged import Judge

_OUR_FAULT = "it could not be made, a fault of the auditor; plan it by hand"
log = logging.getLogger(__name__)
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plans:
    """The plans of one job; all empty where none were made."""

    cuts: CutLists = field(default_factory=CutLists)
    ports: PortPlanning = field(default_factory=PortPlanning)
    remedies: Mapping[int, tuple[str, ...]] = field(default_factory=dict)  # see `remedies()`
    crashed: tuple[str, ...] = ()  # rules whose plans raised


def make_plans(bus: Bus, judge: Judge) -> Plans:
    """Plan a job. A plan that raises is a bug of ours: it is said, and the others go on.

    Parameters
    ----------
    judge : what tries a job as a plan would have it
    """
    crashed: list[str] = []

    def made(rule: str, make: Callable[[], T], otherwise: T) -> T:
        try:
            return make()
        except Exception:
            log.exception("the plan for the rule %s raised on job %s", rule, bus.job.name)
            crashed.append(rule)
            return otherwise

    cuts = made("cut-list", lambda: cut_lists(bus), CutLists(problems=(f"No cut list: {_OUR_FAULT}",)))
    no_ports = PortPlanning(problems=(f"No port plan: {_OUR_FAULT}",))
    ports = made("port-plan", lambda: plan_ports(bus, judge), no_ports)
    ways: dict[int, tuple[str, ...]] = made(VOLTAGE, lambda: remedies(bus, judge), {})
    return Plans(cuts=cuts, ports=ports, remedies=ways, crashed=tuple(crashed))
