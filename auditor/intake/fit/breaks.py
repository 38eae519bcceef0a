"""The breaks of a job as a graph, counted: what hangs on no port, what stands twice, which ends nothing knows; and
whether lengths rise along its branches."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from auditor.job.model import Job, Pull

HUB, LEAST_AT_HUB = 0.4, 5
CHANCE = 0.01  # of lengths that rise along every branch without meaning it; project convention


@dataclass(slots=True)
class Breaks:
    """What does not hang together in a job."""

    dark_pieces: int
    dark_devices: list[str]
    unknown: list[str]
    doubles: list[str]  # pulls
    cycles: int
    hub: str | None
    roots: int
    dark_feeders: list[str]  # devices that feed others and that nothing feeds
    between_roots: list[str]  # pulls from one port or head end to another


def breaks_of(job: Job) -> Breaks:
    """The breaks of a job, counted on its landed pulls walked both ways."""
    tags = dict.fromkeys(device.tag for device in job.devices)
    roots = job.ports.keys() | job.head_ends
    known = tags.keys() | roots | job.splices
    pulls = [pull for pull in job.pulls if pull.landed and pull.near and pull.far]
    parent: dict[str, str] = {}
    cycles = 0
    pairs: Counter[frozenset[str]] = Counter()
    doubles = []
    for pull in pulls:
        pair = frozenset((pull.near, pull.far))
        pairs[pair] += 1
        if pairs[pair] > 1:
            doubles.append(pull.id)
            continue
        ends = [end if end not in job.head_ends else f"{end}\0{pull.id}" for end in (pull.near, pull.far)]
        a, b = _top(parent, ends[0]), _top(parent, ends[1])
        cycles += a == b
        parent[a] = b
    lit = {_top(parent, end) for end in list(parent) if end.partition("\0")[0] in roots}
    dark = [tag for tag in tags if _top(parent, tag) not in lit]
    near, far = {pull.near for pull in pulls}, {pull.far for pull in pulls}
    touched = Counter(end for pull in pulls for end in (pull.near, pull.far))
    unknown = [end for end in touched if end not in known]
    hub = next(
        (
            end
            for end, n in touched.most_common(1)
            if n >= LEAST_AT_HUB
            and n > HUB * len(pulls)
            and end not in roots
            and not (end in tags and end not in dark)
        ),
        None,
    )
    return Breaks(
        dark_pieces=len({_top(parent, tag) for tag in dark}),
        dark_devices=dark,
        unknown=unknown,
        doubles=doubles,
        cycles=cycles,
        hub=hub,
        roots=sum(end in roots for end in touched),
        dark_feeders=[tag for tag in dark if tag in near and tag not in far],
        between_roots=[pull.id for pull in pulls if pull.near in roots and pull.far in roots],
    )


def _top(parent: dict[str, str], name: str) -> str:
    parent.setdefault(name, name)
    while parent[name] != name:
        parent[name] = parent[parent[name]]
        name = parent[name]
    return name


def rise_everywhere(job: Job, feeds: Mapping[str, Sequence[Pull]]) -> bool:
    """Whether all lengths are known and each is more than the one before it, which chance would hardly do."""
    pairs = [(pull.length_m, after.length_m) for pull in job.pulls for after in feeds.get(pull.far, ())]
    rise = all(a is not None and b is not None and b > a for a, b in pairs)
    return bool(pairs) and rise and _chance_of_rising(job.pulls, feeds) < CHANCE


def _chance_of_rising(pulls: Sequence[Pull], feeds: Mapping[str, Sequence[Pull]]) -> float:
    """How likely random lengths rise along every branch: the product of 1 by the pulls at and behind each pull.

    Source: the hook length formula for heap-ordered forests (Knuth, The Art of Computer Programming, vol. 3, 5.1.4,
    exercise 20; from memory).
    """
    chance = 1.0
    for pull in pulls:
        behind, waiting, seen = 0, [pull], set()
        while waiting:
            one = waiting.pop()
            if id(one) in seen:
                return 1.0  # a loop has no order
            seen.add(id(one))
            behind += 1
            waiting += feeds.get(one.far, ())
        chance /= behind
        if chance < CHANCE:
            break
    return chance
