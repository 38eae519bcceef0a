"""All plans of a measured job, each kept from stopping the others."""

import logging
from collections.abc import Callable
from typing import TypeVar

from auditor.bus.measure import Bus
from auditor.plans.better_buys import better_buys
from auditor.plans.cut_lists import cut_lists
from auditor.plans.plans import VOLTAGE, BetterBuy, CutLists, Plans, PortPlanning, SpareReturns, Way
from auditor.plans.ports import plan_ports
from auditor.plans.remedies import remedies
from auditor.plans.spares import spare_returns
from auditor.results.judged import Judge

_OUR_FAULT = "it could not be made, a fault of the auditor; plan it by hand"
log = logging.getLogger(__name__)
T = TypeVar("T")


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
    ways: dict[int, tuple[Way, ...]] = made(VOLTAGE, lambda: remedies(bus, judge), {})
    spares = made("spare-return", lambda: spare_returns(bus, judge), SpareReturns())
    no_buys: tuple[BetterBuy, ...] = ()
    buys = made("cut-list", lambda: better_buys(bus, cuts.lists, judge), no_buys)
    return Plans(
        cuts=cuts, ports=ports, remedies=ways, spares=spares, better_buys=buys, crashed=tuple(crashed)
    )
