"""The ports of branches that a schedule lets begin at a controller as a whole."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from auditor.intake.names.ends import is_controller, is_head_end
from auditor.intake.said import Answers, asked, choices, chosen, to_decide
from auditor.job.model import Controller, Job, Port, Pull, Question

ONE, OWN = (
    "all branches of a controller are on one port",
    "each branch has a port of its own, in the order of the rows",
)
NOT_YET = "the ports are not decided yet"
MOST_PORTS = 4  # of a controller whose number of ports is not stated; common practice, no published source


def with_ports_asked(job: Job, answers: Answers) -> Job:
    """The job with its branches on the ports that an answer gives them; until then with the question."""
    branches = _branches(job)
    if not branches:
        return job
    one = _question(job, branches)
    remark = to_decide(one, "port", answers, "Until it is answered each branch is judged by itself")
    remark = replace(remark, rule="port-plan") if remark.level == "review" else remark
    job = replace(job, remarks=(*job.remarks, remark))
    answer = chosen(one, answers)
    return _on_ports(job, branches, own=answer == OWN) if answer in (ONE, OWN) else job


def _branches(job: Job) -> dict[str, list[Pull]]:
    """Controller -> the pulls that begin there, in the order of the schedule; none where a port is scheduled, or
    where a head end is a place."""
    found: dict[str, list[Pull]] = {}
    for pull in job.pulls:
        for end in (pull.near, pull.far) if pull.landed else ():
            if end in job.head_ends:
                found.setdefault(end, []).append(pull)
    named = all(head in job.controllers or is_controller(head) or _is_numbered(head) for head in found)
    return found if named and not job.ports else {}


def _question(job: Job, branches: Mapping[str, Sequence[Pull]]) -> Question:
    own = all(len(pulls) <= _ports_of(job, head) for head, pulls in branches.items())
    meanwhile = (NOT_YET, "each branch is judged by itself, and the plan says which port holds it")
    ways = [meanwhile, (ONE, "its runs are judged with all their branches")]
    if own and any(len(pulls) > 1 for pulls in branches.values()):
        ways.append((OWN, "each branch is judged as a run on a port"))
    named = ", ".join(list(branches)[:MOST_PORTS])
    sentence = f"the schedule names no ports of {named}: on which port is each branch?"
    first = next(iter(branches.values()))[0]
    return asked("ports-of-branches", (), sentence, choices(*ways), first.where)


def _ports_of(job: Job, head: str) -> int:
    controller = job.controllers.get(head)
    return MOST_PORTS if controller is None or controller.ports is None else controller.ports


def _on_ports(job: Job, branches: Mapping[str, Sequence[Pull]], *, own: bool) -> Job:
    """The job with the first end of each branch at a port instead of its head end."""
    ports = {
        id(pull): Port(controller=head, port=str(number if own else 1))
        for head, pulls in branches.items()
        for number, pull in enumerate(pulls, 1)
    }
    pulls = tuple(_at(pull, ports.get(id(pull)), job.head_ends) for pull in job.pulls)
    named = {port.name: port for port in ports.values()}
    controllers = {head: Controller(name=head) for head in branches} | dict(job.controllers)
    heads = job.head_ends - branches.keys()
    return replace(job, pulls=pulls, ports=named, head_ends=heads, controllers=controllers)


def _at(pull: Pull, port: Port | None, heads: frozenset[str]) -> Pull:
    if port is None:
        return pull
    return replace(pull, near=port.name) if pull.near in heads else replace(pull, far=port.name)


def _is_numbered(head: str) -> bool:
    """Whether a name with a number is that of one controller and no place: `BC-1`, but not `RACK 1`."""
    return any(map(str.isdigit, head)) and not is_head_end(head)
