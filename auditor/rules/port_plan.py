"""port-plan: every branch has a port, and the ports hold the job.

What it checks
    Branches that the schedule leaves at a head end without a port; whether the controllers that are
    scheduled are enough for all limits that add up (cable, devices, watts); whether a plan exists at
    all. The plan itself is audited with the same rules and stands on its own sheet.

Why
    Which branch goes to which port decides how many controllers a job buys, and a branch that nobody
    gave a port ends up on the one with room in the panel, not in the budget.

Source
    The limits of the profile. The plan: an integer program solved by HiGHS, see `calc/ports/`.

Fails
    Three branches of 1,500 ft each and one controller of 2 ports of 2,000 ft: two controllers are needed.

Passes
    Two branches of 1,500 ft on the 2 ports of one controller, as scheduled.

To fix
    Write the planned ports into the schedule, and schedule the controllers that the plan needs.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.job.model import natural_key
from auditor.plans.plans import Plans, PortPlanning
from auditor.results.audit_result import ControllersResult, Status
from auditor.results.findings import Finding, Level, Scope

NAME = "port-plan"
SCOPE = Scope.RUN | Scope.JOB
DRIVER = {"cable": "the length of cable", "devices": "the number of devices", "power": "the watts"}


def check(bus: Bus, plans: Plans) -> Iterator[Finding]:
    assigned = all(state.run.assigned for state in bus.runs)  # then the other rules judge every run
    plan = plans.ports
    for problem in plan.problems:
        yield _about_job(bus, Level.NOTE if assigned else Level.REVIEW, problem)
    if plan.status is None or plan.controllers is None:
        return
    if plan.status is Status.IMPOSSIBLE:
        sure = Level.FAIL if _all_known(bus) else Level.REVIEW
        yield _about_job(
            bus, Level.NOTE if assigned else sure, f"No port plan can keep the limits: {plan.reason}"
        )
        yield from _branches_without_port(bus, plan)
        return
    yield from _controllers_lacking(bus, plan, plan.controllers)
    yield from _branches_without_port(bus, plan)


def _all_known(bus: Bus) -> bool:
    """Whether all cable is known to be on or off specification, and nothing that is added up is missing."""
    return all(state.derated is not None and not state.gaps() for state in bus.runs)


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


def _controllers_lacking(bus: Bus, plan: PortPlanning, needed: ControllersResult) -> Iterator[Finding]:
    targets = {move.target.rsplit(".", 1)[0] for move in plan.moves}
    added = sorted(targets - bus.job.controllers.keys(), key=natural_key)
    remains = f"; with the plan {plan.remains()}" if plan.failing else ""
    lacking = max(len(added), (needed.lower_bound or needed.scheduled) - needed.scheduled)
    if lacking > 0 and needed.scheduled > 0:
        known = _all_known(bus)
        sure = known and (needed.status is Status.PROVEN or not added)
        used = needed.scheduled if needed.needed is None else needed.needed - len(added)
        total = used + lacking
        there = (
            f"of the {needed.scheduled} that are scheduled {used} can be used"
            if used < needed.scheduled
            else f"{needed.scheduled} {'is' if needed.scheduled == 1 else 'are'} scheduled"
        )
        because = f", driven by {DRIVER.get(needed.driven_by or '', '')}" if needed.driven_by else ""
        names = f": add {', '.join(added)} of the port plan" if added else ""
        doubt = (
            ""
            if sure
            else ("; fewer may do once all is stated" if not known else "; fewer may do, which is not proven")
        )
        as_is = " with the cable as scheduled" if plan.kept else ""
        message = (
            f"{'The port plan takes' if added and not sure else 'The job needs'} "
            f"{'' if added else 'at least '}{total} controllers{as_is}{because}, and {there}{names}{doubt}{remains}"
        )
        yield _about_job(bus, Level.FAIL if sure else Level.REVIEW, message, total, used)
    elif needed.needed is not None and needed.needed < needed.scheduled and plan.moves:
        message = (
            f"{needed.needed} of the {needed.scheduled} controllers that are scheduled could hold the job; "
            f"the port plan shows how{remains}"
        )
        yield _about_job(bus, Level.NOTE, message, needed.needed, needed.scheduled)


def _branches_without_port(bus: Bus, plan: PortPlanning) -> Iterator[Finding]:
    target = {move.branch: move.target for move in plan.moves if move.origin is None}
    for state in bus.runs:
        run = state.run
        if run.assigned or not run.home_runs:
            continue
        name = bus.pull_names[id(run.home_runs[0])]
        where = f"; the plan puts it on {target[name]}" if name in target else ""
        if where and target[name] in plan.failing:
            where += f", where it still fails ({', '.join(plan.failing[target[name]])})"
        yield Finding(
            rule=NAME,
            level=Level.REVIEW,
            subject=run.name,
            message=f"Pull {name} leaves {run.head_ends[0]} without a port{where}; write its port into the "
            "schedule",
            where=state.where,
        )
