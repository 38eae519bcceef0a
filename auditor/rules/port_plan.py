"""port-plan: every branch has a port, and the ports hold the job.

What it checks
    Branches that the schedule leaves at a head end without a port; whether the controllers that are
    scheduled are enough for all limits that add up (cable, devices, watts); whether a plan exists at
    all. The plan itself is audited with the same rules and stands on its own sheet.

Why
    Which branch goes to which port decides how many controllers a job buys, and a branch that nobody
    gave a port ends up on the one with room in the panel, not in the budget.

Source
    The limits of the profile. The plan: an integer program solved by HiGHS, see `calc/portplan.py`.

Fails
    Three branches of 1,500 ft each and one controller of 2 ports of 2,000 ft: two controllers are needed.

Passes
    Two branches of 1,500 ft on the 2 ports of one controller, as scheduled.

To fix
    Write the planned ports into the schedule, and schedule the controllers that the plan needs.
"""

from collections.abc import Iterator

from auditor.bus import Bus
from auditor.findings import ControllersResult, Finding, Level, PortPlanResult, Status

NAME = "port-plan"


def check(bus: Bus) -> Iterator[Finding]:
    for problem in bus.port_problems:
        yield _about_job(bus, Level.REVIEW, problem)
    plan, needed = bus.port_plan, bus.needed
    if plan is None or needed is None:
        return
    if plan.status is Status.IMPOSSIBLE:
        judged_elsewhere = all(state.run.assigned for state in bus.runs)
        level = Level.NOTE if judged_elsewhere else Level.FAIL
        yield _about_job(bus, level, f"No port plan can keep the limits: {plan.reason}")
        return
    yield from _enough(bus, plan, needed)
    yield from _unassigned(bus, plan)


def _about_job(
    bus: Bus, level: Level, message: str, measured: int | None = None, limit: int | None = None
) -> Finding:
    return Finding(
        rule=NAME,
        level=level,
        subject=bus.job.name,
        message=message,
        measured=measured,
        limit=limit,
        unit=None if measured is None else "controllers",
    )


def _enough(bus: Bus, plan: PortPlanResult, needed: ControllersResult) -> Iterator[Finding]:
    if needed.needed is None or needed.scheduled in (0, needed.needed):
        return
    if needed.needed > needed.scheduled:
        sure = (needed.lower_bound or 0) > needed.scheduled
        because = f", driven by {needed.driven_by}" if needed.driven_by else ""
        message = (
            f"The job needs {needed.needed} controllers{because}, and {needed.scheduled} "
            f"{'is' if needed.scheduled == 1 else 'are'} scheduled; "
            + (
                "add what the port plan shows"
                if sure
                else "fewer may do, which is not proven; see the port plan"
            )
        )
        level = Level.FAIL if sure else Level.REVIEW
        yield _about_job(bus, level, message, needed.needed, needed.scheduled)
    elif plan.moves:
        message = (
            f"{needed.needed} of the {needed.scheduled} controllers that are scheduled could hold the job; the port "
            "plan shows how"
        )
        yield _about_job(bus, Level.NOTE, message, needed.needed, needed.scheduled)


def _unassigned(bus: Bus, plan: PortPlanResult) -> Iterator[Finding]:
    target = {move.branch: move.target for move in plan.moves if move.origin is None}
    for state in bus.runs:
        run = state.run
        if run.assigned or run.branch is None:
            continue
        where = f"; the plan puts it on {target[run.branch]}" if run.branch in target else ""
        yield Finding(
            rule=NAME,
            level=Level.REVIEW,
            subject=run.name,
            message=f"Pull {run.branch} leaves {run.head_ends[0]} without a port{where}; write its port into the schedule",
            where=state.where,
        )
