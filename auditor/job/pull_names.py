"""Names of pulls that are told apart, also where a schedule repeats its ids."""

from collections import Counter

from auditor.job.model import Job


def pull_names(job: Job) -> dict[int, str]:
    """Name of each pull, by its identity: its id; where others have the same id, with its ends; where they
    have those too, with its row."""
    count = Counter(pull.id for pull in job.pulls)
    names: dict[int, str] = {}
    taken: set[str] = set()
    for pull in job.pulls:
        name = pull.id if count[pull.id] == 1 else f"{pull.id} ({pull.near} to {pull.far})"
        if name in taken:
            name = f"{name}, {pull.where.sheet} row {pull.where.row}"
        names[id(pull)] = name
        taken.add(name)
    return names
