"""The gate before any rule speaks: how well a reading hangs together as a graph, by counted breaks.

A reading that hangs together badly was not understood. Its job is then one question, and no figure and no
fault that rests on the doubt is stated. A real fault in a job that is read well passes: one unfed branch, one
slip, one loop. The bounds come from a trial on 23 rightly read jobs: none was stopped as it was or with one
row, home run or length missing; 21 to 23 were stopped when a list was read twice, half of it was not seen,
or a row number was taken for an end. With n devices the gate closes if any one holds:

- pieces with devices and no root, with devices that no pull touches: more than max(2.5, 15 % of n), where at
  least a third as many ends are unknown (an unfinished schedule is no misread one);
- ends that nothing knows: more than max(3.5, 12 % of n);
- pulls that stand twice, and cycles: more than max(2.5, 15 % of n);
- one end that is no root, and no device that a port feeds, in more than 40 % of the pulls;
- no root at all;
- pulls: fewer than half the rows of the schedules;
- lengths that rise from hop to hop in more than 72 % of the hops, or in all of them where chance would do so in
  less than 1 of 100 jobs: they may count from the port.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.intake.said import question
from auditor.job.model import Job, Pull, Remark, TableKind

_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)
LEAST_PULLS = 3
DARK, UNKNOWN, DOUBLE = (2.5, 0.15), (3.5, 0.12), (2.5, 0.15)  # at most, and as a share of the devices
HUB, LEAST_AT_HUB = 0.4, 5
RISING, LEAST_HOPS = 0.72, 6
CHANCE = 0.01  # of lengths that rise along every branch without meaning it; project convention
MOST_NAMED = 4


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


def gated(job: Job, unread: Remark | None = None) -> Job:
    """The job as it is, or one that only asks.

    Parameters
    ----------
    unread : what is to be asked of cells that are not read and name what is missing
    """
    if any(remark.closes for remark in job.remarks):
        return _only_asked(job, sorted(job.remarks, key=lambda remark: not remark.closes))
    said = _nothing_read(job)
    if said is None and len([pull for pull in job.pulls if pull.landed]) < LEAST_PULLS:
        return job
    said = said or _doubt(job, breaks_of(job)) or _rising(job)
    if said is None:
        return job if unread is None else _only_asked(job, (unread, *job.remarks))
    first = next((pull.where for pull in job.pulls), None)
    asked = question("reading", f"{said}. Nothing that rests on this is judged until it is answered", first)
    return _only_asked(job, (asked, *job.remarks))


def _nothing_read(job: Job) -> str | None:
    """Whether most rows of the schedules gave no pull."""
    rows = sum(len(table.rows) for table in job.tables if table.kind in _SCHEDULES)
    if rows < LEAST_PULLS or len(job.pulls) * 2 >= rows:
        return None
    return f"of {rows} rows of the schedule only {len(job.pulls)} are read as pulls: where do the ends of each pull stand"


def _only_asked(job: Job, remarks: Iterable[Remark]) -> Job:
    """The job without what cannot be judged: its questions and how it was read."""
    return replace(job, devices=(), pulls=(), head_ends=frozenset(), ports={}, remarks=tuple(remarks))


def _most(bound: tuple[float, float], devices: int) -> float:
    return max(bound[0], bound[1] * devices)


def _doubt(job: Job, found: Breaks) -> str | None:
    devices = len(job.devices)
    where = _where(job)
    if len(found.unknown) > _most(UNKNOWN, devices):
        return _unknown_ends(job, found.unknown)
    dark = len(found.dark_devices)
    if found.dark_pieces > _most(DARK, devices) and (len(found.unknown) * 3 >= dark or not found.roots):
        return f"{dark} of {devices} devices hang on no port ({_named(found.dark_devices)}): {where} taken as the ends, is that right"
    if len(found.doubles) + found.cycles > _most(DOUBLE, devices):
        named = f" ({_named(found.doubles)})" if found.doubles else ""
        return f"many pulls stand twice or close loops{named}: is one list read twice, or does each row hold a core of a cable"
    if found.hub is not None:
        return f"{found.hub} stands at an end of most pulls and is no port: is it a cable's name or a place, not an end; {where} taken as the ends"
    if not found.roots:
        return f"no end of a pull is known as a port: {where} taken as the ends, is that right, and what names the ports"
    return None


def _unknown_ends(job: Job, unknown: list[str]) -> str:
    if not job.devices:
        return f"no list of devices is found that names the ends of the pulls ({_named(unknown)}): where do the devices and what they draw stand"
    return f"{len(unknown)} ends of pulls are in no list ({_named(unknown)}): {_where(job)} taken as the ends, is that right"


def _where(job: Job) -> str:
    """The columns that gave the ends, as the subject of a sentence."""
    table = next((table for table in job.tables if table.kind in _SCHEDULES), None)
    if table is None:
        return "two columns of a table without headings are"
    if "chain" in table.columns and "near" not in table.columns:
        return f"the chains of {table.sheet!r} are"
    return f"two columns of {table.sheet!r} are"


def _named(names: Iterable[str]) -> str:
    listed = list(names)
    more = f" and {len(listed) - MOST_NAMED} more" if len(listed) > MOST_NAMED else ""
    return ", ".join(listed[:MOST_NAMED]) + more


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
    )


def _top(parent: dict[str, str], name: str) -> str:
    parent.setdefault(name, name)
    while parent[name] != name:
        parent[name] = parent[parent[name]]
        name = parent[name]
    return name


def _rise_everywhere(job: Job, feeds: Mapping[str, Sequence[Pull]]) -> bool:
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


def _rising(job: Job) -> str | None:
    """Lengths that rise along the chains: counted from the port, if nothing says otherwise."""
    if any("counts from the port" in remark.message for remark in job.remarks):
        return None
    feeds: dict[str, list[Pull]] = defaultdict(list)
    for pull in job.pulls:
        feeds[pull.near].append(pull)
    hops = [
        (pull.length_m, after.length_m)
        for pull in job.pulls
        if len(feeds[pull.far]) == 1 and pull.length_m is not None
        for after in feeds[pull.far]
        if after.length_m is not None
    ]
    rising = sum(b > a for a, b in hops)
    many = len(hops) >= LEAST_HOPS and rising > RISING * len(hops)
    if not many and not _rise_everywhere(job, feeds):
        return None
    return f"the lengths rise along {rising} of {len(hops)} hops: do they count from the port, or is each the length of its own pull"
