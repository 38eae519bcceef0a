"""The doubts in a reading, one function each: the question, its answers, and the job once it is answered."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import comb

from auditor.intake.fit.breaks import Breaks, breaks_of, rise_everywhere
from auditor.intake.names.spelling import letters_of, likeness
from auditor.intake.said import SPLICES, asked, choices, untried
from auditor.job.model import Choice, Job, Pull, Question, TableKind

LEAST_PULLS = 3
DARK, UNKNOWN, DOUBLE = (2.5, 0.15), (3.5, 0.12), (2.5, 0.15)  # at most, and as a share of the devices
FEEDERS = (4.5, 0.25)  # devices at most, and as a share of all, that feed others and that nothing feeds
BETWEEN = (1.5, 0.1)  # pulls at most, and as a share of all, from one port to another
UNENDED = 0.3  # share of the pulls, at most, that have one end
RISING, LEAST_HOPS, BY_CHANCE = 0.72, 6, 0.02
MOST_NAMED = 4
LEAST_FED = 8  # devices on ports by which kinds are known; project convention
LEAST_LETTERS = 4  # of a name in which a slip is told from another name; project convention
MOST_STARTS = 2  # ends that are offered as the place where the runs start
YES, FROM_PORT, NOT_OF_BUS = "yes", "from the port", "no"
ONCE, START = "one list is read twice", "the runs start at "
OTHER_ENDS = "a layout says which columns hold the ends of each pull"
OTHER_LIST = "a layout says which table is the device list"
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is asked, and how an answer changes the job; one that confirms the reading changes nothing."""

    question: Question
    settled: Callable[[Job, str], Job] = lambda job, _: job


def rows_not_read(job: Job, _: Breaks) -> Doubt | None:
    """Most rows of the schedules gave no pull."""
    rows = sum(len(table.rows) for table in job.tables if table.kind in _SCHEDULES)
    if rows < LEAST_PULLS or len(job.pulls) * 2 >= rows:
        return None
    sentence = f"of {rows} rows of the schedule only {len(job.pulls)} are read as pulls: where do the ends of each pull stand?"
    rest = choices(("the other rows hold no pulls", "only the pulls that are read are judged"))
    return Doubt(_question("ends-of-rows", job, sentence, (*rest, _other_columns("other cells hold them"))))


def unknown_ends(job: Job, found: Breaks) -> Doubt | None:
    """Many ends of pulls are in no list."""
    if len(found.unknown) <= _most(UNKNOWN, job):
        return None
    if not job.devices:
        return _without_list(job, found.unknown)
    sentence = (
        f"{len(found.unknown)} ends of pulls are in no list ({_named(found.unknown)}): {_where(job)} taken as the ends, "
        "is that right?"
    )
    answers = choices(
        (YES, "the schedule is judged as it is read"),
        (SPLICES, "the ends in no list are joints without a device"),
    )
    listed = untried("another table lists them", OTHER_LIST)
    return Doubt(
        _question("ends-in-no-list", job, sentence, (*answers, listed, _other_columns())), _with_splices
    )


def _without_list(job: Job, unknown: Sequence[str]) -> Doubt:
    sentence = (
        f"no list of devices is found that names the ends of the pulls ({_named(unknown)}): where do the devices and what "
        "they draw stand?"
    )
    answers = choices((SPLICES, "the ends are joints without a device, no device is judged"))
    listed = untried("a table lists them", OTHER_LIST)
    ends = untried("these are no ends", OTHER_ENDS)
    return Doubt(_question("no-list-of-devices", job, sentence, (listed, *answers, ends)), _with_splices)


def _with_splices(job: Job, answer: str) -> Job:
    return replace(job, splices=job.splices | set(breaks_of(job).unknown)) if answer == SPLICES else job


def devices_without_port(job: Job, found: Breaks) -> Doubt | None:
    """Many pieces of the job hang on no port."""
    devices = len(job.devices)
    dark = len(found.dark_devices)
    unended = sum(pull.landed and not (pull.near and pull.far) for pull in job.pulls)
    many_unended = unended > max(DARK[0], UNENDED * len(job.pulls))
    many_feeders = len(found.dark_feeders) > _most(FEEDERS, job)
    if not (many_unended or many_feeders) and (
        found.dark_pieces <= _most(DARK, job) or (len(found.unknown) * 3 < dark and found.roots)
    ):
        return None
    sentence = (
        f"{dark} of {devices} devices hang on no port ({_named(found.dark_devices)}): {_where(job)} taken as the ends, "
        "is that right?"
    )
    return _doubt_of_ends("devices-without-port", job, found, sentence)


def pulls_twice(job: Job, found: Breaks) -> Doubt | None:
    """Many pulls stand twice or close loops."""
    if len(found.doubles) + found.cycles <= _most(DOUBLE, job):
        return None
    named = f" ({_named(found.doubles)})" if found.doubles else ""
    sentence = f"many pulls stand twice or close loops{named}: is one list read twice, or does each row hold a core of a cable?"
    answers = [
        (ONCE, "of pulls between the same two ends the first counts"),
        ("each row holds a core", "of rows between the same two ends the first counts, as one cable"),
        ("neither", "each row is a cable of its own"),
    ]
    return Doubt(_question("pulls-twice", job, sentence, choices(*answers)), _once)


def _once(job: Job, answer: str) -> Job:
    """The job with the first pull of each two ends, unless each is a cable of its own."""
    if answer == "neither":
        return job
    first: dict[tuple[frozenset[str], bool], Pull] = {}
    for pull in job.pulls:
        first.setdefault((frozenset((pull.near, pull.far)), pull.landed), pull)
    return replace(job, pulls=tuple(first.values()))


def end_of_most_pulls(job: Job, found: Breaks) -> Doubt | None:
    """One end that is no port stands in most pulls."""
    hub = found.hub
    if hub is None:
        return None
    sentence = (
        f"{hub} stands at an end of most pulls and is no port: is it a cable's name or a place, not an end; {_where(job)} "
        "taken as the ends?"
    )
    answers = choices(
        (f"{hub} is an end", "the schedule is judged as it is read"),
        (f"{START}{hub}", f"{hub} is the head end, its branches have no port yet"),
    )
    other = untried(f"{hub} is no end", OTHER_ENDS)
    return Doubt(_question("end-of-most-pulls", job, sentence, (*answers, other)), _starting)


def no_port(job: Job, found: Breaks) -> Doubt | None:
    """No end of a pull is a port."""
    if found.roots:
        return None
    sentence = f"no end of a pull is known as a port: {_where(job)} taken as the ends, is that right, and what names the ports?"
    return _doubt_of_ends("no-port", job, found, sentence)


def heads_beside_ports(job: Job, _: Breaks) -> Doubt | None:
    """A pull starts at a controller and not at a port of it, where others start at its ports."""
    with_ports = {port.controller for port in job.ports.values()}
    bare = [pull for pull in job.pulls if pull.landed and {pull.near, pull.far} & job.head_ends & with_ports]
    if not bare:
        return None
    name = next(end for end in (bare[0].near, bare[0].far) if end in with_ports)
    sentence = (
        f"{_named(pull.id for pull in bare)} {'starts' if len(bare) == 1 else 'start'} at {name} and not at one of its ports, "
        "where others do: on which port?"
    )
    answers = choices((YES, f"what starts at {name} has no port yet"))
    other = untried("each on a port", "the port of each pull is to be written")
    return Doubt(_question("heads-beside-ports", job, sentence, (*answers, other)))


def kinds_unfed(job: Job, found: Breaks) -> Doubt | None:
    """Devices of a kind that hang on no port, where no device of the kind does: they may be no device of this bus."""
    strangers = _strangers(job, found)
    if not strangers:
        return None
    sentence = (
        f"{_named(strangers)} hang on no port, and no device named so does: are they devices of this bus?"
    )
    if len(strangers) == 1:
        sentence = (
            f"{strangers[0]} hangs on no port, and no device named so does: is it a device of this bus?"
        )
    answers = choices(
        (NOT_OF_BUS, "they are left out"), (YES, "they are judged as devices that nothing feeds")
    )
    return Doubt(_question("kinds-unfed", job, sentence, answers), _without_strangers)


def _strangers(job: Job, found: Breaks) -> list[str]:
    """The devices on no port whose letters none on a port has, where most are on ports and share their letters.

    None where an end that nothing knows looks like a device: a slip explains what hangs on no port.
    """
    if _is_slip_of_any(found.unknown, found.dark_devices):
        return []
    dark = set(found.dark_devices)
    lit = {letters_of(device.tag) for device in job.devices if device.tag not in dark}
    fed = len(job.devices) - len(dark)
    if fed < max(LEAST_FED, len(dark)) or len(lit) * 2 > fed:
        return []
    return [tag for tag in found.dark_devices if letters_of(tag) not in lit]


def _is_slip_of_any(ends: Sequence[str], tags: Sequence[str]) -> bool:
    """Whether an end is a device's tag with one slip, or one that looks like it."""
    from rapidfuzz.distance import OSA

    return any(
        likeness(end) == likeness(tag) or (len(end) >= LEAST_LETTERS and OSA.distance(end, tag) == 1)
        for end in ends
        for tag in tags
    )


def _without_strangers(job: Job, answer: str) -> Job:
    """The job without them and their pulls."""
    if answer == YES:
        return job
    out = set(_strangers(job, breaks_of(job)))
    devices = tuple(device for device in job.devices if device.tag not in out)
    pulls = tuple(pull for pull in job.pulls if out.isdisjoint((pull.near, pull.far)))
    return replace(job, devices=devices, pulls=pulls)


def ports_at_both_ends(job: Job, found: Breaks) -> Doubt | None:
    """Many pulls lead from one port or head end to another."""
    between = found.between_roots
    if len(between) <= max(BETWEEN[0], BETWEEN[1] * len(job.pulls)):
        return None
    sentence = f"{len(between)} pulls lead from one port to another ({_named(between)}): {_where(job)} taken as the ends, is that right?"
    return _doubt_of_ends("ports-at-both-ends", job, found, sentence)


def no_device_fed(job: Job, found: Breaks) -> Doubt | None:
    """Ports are known, and none of them feeds a device that a pull touches."""
    touched = {end for pull in job.pulls if pull.landed for end in (pull.near, pull.far)}
    at_pulls = [device.tag for device in job.devices if device.tag in touched]
    if len(at_pulls) < LEAST_PULLS or not set(at_pulls) <= set(found.dark_devices):
        return None
    sentence = (
        f"none of {len(at_pulls)} devices ({_named(at_pulls)}) hangs on a port: {_where(job)} taken as the ends, is that "
        "right, and what names the ports?"
    )
    return _doubt_of_ends("no-device-fed", job, found, sentence)


def _doubt_of_ends(what: str, job: Job, found: Breaks, sentence: str) -> Doubt:
    starts = _starts(job) if not found.roots else []
    named = [(f"{START}{end}", f"{end} is the head end, its branches have no port yet") for end in starts]
    answers = choices((YES, "what no port feeds is named"), *named)
    return Doubt(_question(what, job, sentence, (*answers, _other_columns())), _starting)


def _starts(job: Job) -> list[str]:
    """The ends that feed most pulls and that none feeds."""
    fed = {pull.far for pull in job.pulls if pull.landed}
    feeding = Counter(pull.near for pull in job.pulls if pull.landed and pull.near and pull.near not in fed)
    return [end for end, _ in feeding.most_common(MOST_STARTS)]


def _starting(job: Job, answer: str) -> Job:
    if not answer.startswith(START):
        return job
    start = answer.removeprefix(START)
    devices = tuple(device for device in job.devices if device.tag != start)
    return replace(job, devices=devices, head_ends=job.head_ends | {start}, splices=job.splices - {start})


def rising_lengths(job: Job, _: Breaks) -> Doubt | None:
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
    many = (
        len(hops) >= LEAST_HOPS and rising > RISING * len(hops) and _at_least(rising, len(hops)) < BY_CHANCE
    )
    if not many and not rise_everywhere(job, feeds):
        return None
    sentence = (
        f"the lengths rise along {rising} of {len(hops)} hops: do they count from the port, or is each the length of its own "
        "pull?"
    )
    answers = choices(
        (FROM_PORT, "each pull is what it adds to the length of the end that feeds it"),
        ("of its own pull", "each pull has the length that stands in its row"),
    )
    return Doubt(_question("length-counts-from", job, sentence, answers), _as_added)


def _at_least(rising: int, hops: int) -> float:
    """How likely at least so many of the hops rise where each rises or falls alike."""
    return sum(comb(hops, number) for number in range(rising, hops + 1)) / 2.0**hops


def _as_added(job: Job, answer: str) -> Job:
    """The job with what each pull adds to the distance of the end that feeds it; below zero nothing is known."""
    if answer != FROM_PORT:
        return job
    distance_m = {pull.far: pull.length_m for pull in job.pulls if pull.landed}
    return replace(job, pulls=tuple(replace(pull, length_m=_added_m(pull, distance_m)) for pull in job.pulls))


def _added_m(pull: Pull, distance_m: Mapping[str, float | None]) -> float | None:
    before = distance_m.get(pull.near, 0.0)
    if pull.length_m is None or before is None or not pull.landed or pull.length_m < before:
        return pull.length_m if not pull.landed else None
    return pull.length_m - before


DOUBTS = (
    unknown_ends,
    devices_without_port,
    pulls_twice,
    end_of_most_pulls,
    no_port,
    no_device_fed,
    ports_at_both_ends,
    heads_beside_ports,
    kinds_unfed,
    rising_lengths,
)


def _question(what: str, job: Job, sentence: str, answers: Sequence[Choice]) -> Question:
    where = next((pull.where for pull in job.pulls), None)
    return asked(what, sorted(_sheets(job)), sentence, answers, where)


def _sheets(job: Job) -> set[str]:
    return {pull.where.sheet for pull in job.pulls} or {table.sheet for table in job.tables}


def _other_columns(answer: str = "no") -> Choice:
    return untried(answer, OTHER_ENDS)


def _most(bound: tuple[float, float], job: Job) -> float:
    return max(bound[0], bound[1] * len(job.devices))


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
