"""Which pulls a crew must not cut yet, and why: what the audit found would make the cut a waste."""

from auditor.bus.measure import Bus


def holds(bus: Bus) -> dict[int, str]:
    """Why a pull must not be cut yet, by its identity; pulls against which nothing speaks are left out.

    An end that nobody knows or that is blank, a loop or a joint of two ports that it closes, no port that feeds it,
    a length that a question is open on. Where several hold, the first of these is told.
    """
    found: dict[int, str] = {}
    for pull, end in bus.topology.unknown_ends:
        found.setdefault(id(pull), f"{end} is not known")
    for pull in bus.job.pulls:
        if not pull.near or not pull.far:
            found.setdefault(id(pull), "an end is blank")
    for state in bus.runs:
        if not bus.profile.loops_allowed:
            for path in state.run.loops:
                found.setdefault(id(path.lift), "closes a loop")
        for path in state.run.joins:
            found.setdefault(id(path.lift), "joins two ports")
    for pull in bus.topology.unfed_pulls:
        found.setdefault(id(pull), "no port feeds it")
    for pull in bus.job.pulls:
        if "length_m" in pull.asked:
            found.setdefault(id(pull), "its length is in question")
    return found
