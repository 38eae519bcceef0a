"""Doubts in the graph of a reading, one function each: the question, its answers, and the job once it is answered."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import comb

from auditor.intake.fit.breaks import Breaks, breaks_of, rise_everywhere
from auditor.intake.fit.doubt import (
    LEAST_PULLS,
    OTHER_ENDS,
    OTHER_LIST,
    SCHEDULES,
    YES,
    Doubt,
    ends_stand,
    most,
    named,
    other_columns,
    question_of,
    without_lengths,
)
from auditor.intake.said import SPLICES, choices, untried
from auditor.job.model import Job, Pull

DARK, UNKNOWN, DOUBLE = (2.5, 0.15), (3.5, 0.12), (2.5, 0.15)  # at most, and as a share of the devices
FEEDERS = (4.5, 0.25)  # devices at most, and as a share of all, that feed others and that nothing feeds
BETWEEN = (1.5, 0.1)  # pulls at most, and as a share of all, from one port to another
UNENDED = 0.3  # share of the pulls, at most, that have one end
RISING, LEAST_HOPS, BY_CHANCE = 0.72, 6, 0.02
FALLING = 0.1  # of the pulls past another one, that count from the port at most: slips; project convention
MOST_STARTS = 2  # ends that are offered as the place where the runs start
FROM_PORT = "from the port"
ONCE, START = "one list is read twice", "the runs start at "


def rows_not_read(job: Job, _: Breaks) -> Doubt | None:
    """Most rows of the schedules gave no pull."""
    rows = sum(len(table.rows) for table in job.tables if table.kind in SCHEDULES)
    if rows < LEAST_PULLS or len(job.pulls) * 2 >= rows:
        return None
    sentence = f"of {rows} rows of the schedule only {len(job.pulls)} are read as pulls: where do the ends of each pull stand?"
    rest = choices(("the other rows hold no pulls", "only the pulls that are read are judged"))
    return Doubt(question_of("ends-of-rows", job, sentence, (*rest, other_columns("other cells hold them"))))


def unknown_ends(job: Job, found: Breaks) -> Doubt | None:
    """Many ends of pulls are in no list."""
    if len(found.unknown) <= most(UNKNOWN, job):
        return None
    if not job.devices:
        return _without_list(job, found.unknown)
    sentence = (
        f"{len(found.unknown)} ends of pulls are in no list ({named(found.unknown)}): {ends_stand(job)} taken as the ends, "
        "is that right?"
    )
    answers = choices(
        (YES, "the schedule is judged as it is read"),
        (SPLICES, "the ends in no list are joints without a device"),
    )
    listed = untried("another table lists them", OTHER_LIST)
    return Doubt(
        question_of("ends-in-no-list", job, sentence, (*answers, listed, other_columns())), _with_splices
    )


def _without_list(job: Job, unknown: Sequence[str]) -> Doubt:
    sentence = (
        f"no list of devices is found that names the ends of the pulls ({named(unknown)}): where do the devices and what "
        "they draw stand?"
    )
    answers = choices((SPLICES, "the ends are joints without a device, no device is judged"))
    listed = untried("a table lists them", OTHER_LIST)
    ends = untried("these are no ends", OTHER_ENDS)
    return Doubt(question_of("no-list-of-devices", job, sentence, (listed, *answers, ends)), _with_splices)


def _with_splices(job: Job, answer: str) -> Job:
    return replace(job, splices=job.splices | set(breaks_of(job).unknown)) if answer == SPLICES else job


def devices_without_port(job: Job, found: Breaks) -> Doubt | None:
    """Many pieces of the job hang on no port."""
    devices = len(job.devices)
    dark = len(found.dark_devices)
    unended = sum(pull.landed and not (pull.near and pull.far) for pull in job.pulls)
    many_unended = unended > max(DARK[0], UNENDED * len(job.pulls))
    many_feeders = len(found.dark_feeders) > most(FEEDERS, job)
    if not (many_unended or many_feeders) and (
        found.dark_pieces <= most(DARK, job) or (len(found.unknown) * 3 < dark and found.roots)
    ):
        return None
    sentence = (
        f"{dark} of {devices} devices hang on no port ({named(found.dark_devices)}): {ends_stand(job)} taken as the ends, "
        "is that right?"
    )
    return _doubt_of_ends("devices-without-port", job, found, sentence)


def pulls_twice(job: Job, found: Breaks) -> Doubt | None:
    """Many pulls stand twice or close loops."""
    if len(found.doubles) + found.cycles <= most(DOUBLE, job):
        return None
    some = f" ({named(found.doubles)})" if found.doubles else ""
    sentence = f"many pulls stand twice or close loops{some}: is one list read twice, or does each row hold a core of a cable?"
    answers = [
        (ONCE, "of pulls between the same two ends the first counts"),
        ("each row holds a core", "of rows between the same two ends the first counts, as one cable"),
        ("neither", "each row is a cable of its own"),
    ]
    return Doubt(question_of("pulls-twice", job, sentence, choices(*answers)), _once)


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
        f"{hub} stands at an end of most pulls and is no port: is it a cable's name or a place, not an end; {ends_stand(job)} "
        "taken as the ends?"
    )
    answers = choices(
        (f"{hub} is an end", "the schedule is judged as it is read"),
        (f"{START}{hub}", f"{hub} is the head end, its branches have no port yet"),
    )
    other = untried(f"{hub} is no end", OTHER_ENDS)
    return Doubt(question_of("end-of-most-pulls", job, sentence, (*answers, other)), _starting)


def no_port(job: Job, found: Breaks) -> Doubt | None:
    """No end of a pull is a port."""
    if found.roots:
        return None
    sentence = f"no end of a pull is known as a port: {ends_stand(job)} taken as the ends, is that right, and what names the ports?"
    return _doubt_of_ends("no-port", job, found, sentence)


def heads_beside_ports(job: Job, _: Breaks) -> Doubt | None:
    """A pull starts at a controller and not at a port of it, where others start at its ports."""
    with_ports = {port.controller for port in job.ports.values()}
    bare = [pull for pull in job.pulls if pull.landed and {pull.near, pull.far} & job.head_ends & with_ports]
    if not bare:
        return None
    name = next(end for end in (bare[0].near, bare[0].far) if end in with_ports)
    sentence = (
        f"{named(pull.id for pull in bare)} {'starts' if len(bare) == 1 else 'start'} at {name} and not at one of its ports, "
        "where others do: on which port?"
    )
    answers = choices((YES, f"what starts at {name} has no port yet"))
    other = untried("each on a port", "the port of each pull is to be written")
    return Doubt(question_of("heads-beside-ports", job, sentence, (*answers, other)))


def ports_at_both_ends(job: Job, found: Breaks) -> Doubt | None:
    """Many pulls lead from one port or head end to another."""
    between = found.between_roots
    if len(between) <= max(BETWEEN[0], BETWEEN[1] * len(job.pulls)):
        return None
    sentence = f"{len(between)} pulls lead from one port to another ({named(between)}): {ends_stand(job)} taken as the ends, is that right?"
    return _doubt_of_ends("ports-at-both-ends", job, found, sentence)


def no_device_fed(job: Job, found: Breaks) -> Doubt | None:
    """Ports are known, and none of them feeds a device that a pull touches."""
    touched = {end for pull in job.pulls if pull.landed for end in (pull.near, pull.far)}
    at_pulls = [device.tag for device in job.devices if device.tag in touched]
    if len(at_pulls) < LEAST_PULLS or not set(at_pulls) <= set(found.dark_devices):
        return None
    sentence = (
        f"none of {len(at_pulls)} devices ({named(at_pulls)}) hangs on a port: {ends_stand(job)} taken as the ends, is that "
        "right, and what names the ports?"
    )
    return _doubt_of_ends("no-device-fed", job, found, sentence)


def _doubt_of_ends(what: str, job: Job, found: Breaks, sentence: str) -> Doubt:
    starts = _starts(job) if not found.roots else []
    named = [(f"{START}{end}", f"{end} is the head end, its branches have no port yet") for end in starts]
    answers = choices((YES, "what no port feeds is named"), *named)
    return Doubt(question_of(what, job, sentence, (*answers, other_columns())), _starting)


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
    if (not many and not rise_everywhere(job, feeds)) or _many_fall(job, feeds):
        return None
    sentence = (
        f"the lengths rise along {rising} of {len(hops)} hops: do they count from the port, or is each the length of its own "
        "pull?"
    )
    answers = choices(
        (FROM_PORT, "each pull is what it adds to the length of the end that feeds it"),
        ("of its own pull", "each pull has the length that stands in its row"),
    )
    question = question_of("length-counts-from", job, sentence, answers)
    return Doubt(question, _as_added, until_answered=without_lengths)


def _many_fall(job: Job, feeds: Mapping[str, Sequence[Pull]]) -> bool:
    """Whether too many pulls are shorter than the one that feeds them, also past a branch, to count from the port."""
    pairs = [
        (pull.length_m, after.length_m)
        for pull in job.pulls
        for after in feeds.get(pull.far, ())
        if pull.length_m is not None and after.length_m is not None
    ]
    falling = sum(after < before for before, after in pairs)
    return falling > FALLING * len(pairs)


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
