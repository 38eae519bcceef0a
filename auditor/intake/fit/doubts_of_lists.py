"""Doubts in the lists of devices and in figures that no bus has."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from statistics import mean, median

from auditor.intake.fit.breaks import Breaks, breaks_of
from auditor.intake.fit.doubt import NO, YES, Doubt, named, question_of, without_lengths
from auditor.intake.names.ends import LEAST_ALIKE
from auditor.intake.names.spelling import letters_of, likeness
from auditor.intake.said import choices, untried
from auditor.job.model import CellRef, Job, known_power_w
from auditor.units import LENGTH_M

LEAST_FED = 8  # devices on ports by which kinds are known; project convention
LEAST_AGAIN = 2  # tags in two lists that make one of them doubtful; project convention
BOTH = "both"
# what no controller, device or pull of a two-wire bus has, about ten times the usual; project convention
MOST_OF_CONTROLLER_W, MOST_OF_DEVICE_W, LEAST_DRAWING = 350.0, 15.0, 4
MOST_OF_PULL_M, LEAST_LONG, LEAST_ALL_LONG = 304.8, 8, 3


def kinds_unfed(job: Job, found: Breaks) -> Doubt | None:
    """Devices of a kind that hang on no port, where no device of the kind does: they may be no device of this bus."""
    strangers = _strangers(job, found)
    if not strangers:
        return None
    sentence = (
        f"{named(strangers)} hang on no port, and no device named so does: are they devices of this bus?"
    )
    if len(strangers) == 1:
        sentence = (
            f"{strangers[0]} hangs on no port, and no device named so does: is it a device of this bus?"
        )
    answers = choices((YES, "they are judged as devices that nothing feeds"), (NO, "they are left out"))
    where = _where(job, strangers[0])
    return Doubt(question_of("kinds-unfed", job, sentence, answers, where), _without_strangers)


def _where(job: Job, tag: str) -> CellRef:
    """The cell of the last device of this tag."""
    return [device.cells.get("tag", device.where) for device in job.devices if device.tag == tag][-1]


def _strangers(job: Job, found: Breaks) -> list[str]:
    """The devices on no port whose letters none on a port has, where most are on ports and share their letters.

    None where an end that nothing knows looks like a device: a slip explains what hangs on no port.
    """
    dark = set(found.dark_devices)
    lit = {letters_of(device.tag) for device in job.devices if device.tag not in dark}
    fed = len(job.devices) - len(dark)
    if fed < max(LEAST_FED, len(dark)) or len(lit) * 2 > fed:
        return []
    strangers = [tag for tag in found.dark_devices if letters_of(tag) not in lit]
    return [] if strangers and _is_slip_of_any(found.unknown, found.dark_devices) else strangers


def _is_slip_of_any(ends: Sequence[str], tags: Sequence[str]) -> bool:
    """Whether an end is a device's tag with one slip, or one that looks like it."""
    from rapidfuzz.distance import OSA

    return any(
        likeness(end) == likeness(tag) or (len(end) >= LEAST_ALIKE and OSA.distance(end, tag) == 1)
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


def devices_twice(job: Job, _: Breaks) -> Doubt | None:
    """Several devices stand in two lists on two sheets: one list may be of something else, or a copy."""
    lists = _lists_with_the_same(job)
    if lists is None:
        return None
    first, second, tags = lists
    sentence = (
        f"{named(tags)} are listed on {first!r} and again on {second!r}: which of the two lists the devices?"
    )
    answers = choices(
        (first, f"what {second!r} lists is left out"),
        (second, f"what {first!r} lists is left out"),
        (BOTH, "each row counts as a device"),
    )

    def settled(job: Job, answer: str) -> Job:
        out = {first: second, second: first}.get(answer)
        return replace(job, devices=tuple(one for one in job.devices if one.where.sheet != out))

    return Doubt(question_of("devices-twice", job, sentence, answers, _where(job, tags[0])), settled)


def _lists_with_the_same(job: Job) -> tuple[str, str, list[str]] | None:
    """The two sheets on which most tags stand twice, the longer list first, and these tags."""
    sheets: dict[str, dict[str, None]] = defaultdict(dict)
    for device in job.devices:
        sheets[device.tag][device.where.sheet] = None
    rows = Counter(device.where.sheet for device in job.devices)
    again: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for tag, own in sheets.items():
        if len(own) > 1:
            again[tuple(sorted(own, key=lambda sheet: -rows[sheet])[:2])].append(tag)
    (first, second), tags = max(again.items(), key=lambda item: len(item[1]), default=(("", ""), []))
    return (first, second, tags) if len(tags) >= LEAST_AGAIN else None


def figures_beyond(job: Job, _: Breaks) -> Doubt | None:
    """Figures that no bus has: a unit or a column was taken for another."""
    drawn = _draw_beyond(job)
    said = drawn or _lengths_beyond(job)
    if not said:
        return None
    sentence = f"{said}, which no usual bus has: is that right, or is the unit or the column another?"
    other = untried(NO, "the unit is to be written in the heading, or a layout says which column holds them")
    answers = (*choices((YES, "the schedule is judged as it is read")), other)
    if drawn:
        most = max(job.devices, key=lambda device: device.power_w or 0.0)
        where, until_answered = job.cell_of(most, "power_w"), _without_powers
    else:
        longest = max(job.pulls, key=lambda pull: pull.length_m or 0.0)
        where, until_answered = job.cell_of(longest, "length_m"), without_lengths
    return Doubt(question_of("figures-beyond", job, sentence, answers, where), until_answered=until_answered)


def _without_powers(job: Job) -> Job:
    return replace(
        job,
        devices=tuple(
            replace(device, power_w=None, idle_w=None, start_w=None, asked=device.asked | {"power_w"})
            for device in job.devices
        ),
    )


def _draw_beyond(job: Job) -> str:
    """What is said of the devices' power where it is beyond what a controller or a device has; else nothing."""
    drawn = [device.power_w for device in job.devices if device.power_w is not None]
    heads = {port.controller for port in job.ports.values()} | job.head_ends
    total = known_power_w(job.devices)
    if heads and total > MOST_OF_CONTROLLER_W * len(heads):
        return f"the devices draw {total:,.0f} W in all from {len(heads)} {'controller' if len(heads) == 1 else 'controllers'}"
    if len(drawn) >= LEAST_DRAWING and median(drawn) > MOST_OF_DEVICE_W:
        return f"the devices draw a median of {median(drawn):,.1f} W each, more than {MOST_OF_DEVICE_W:g} W"
    return ""


def _lengths_beyond(job: Job) -> str:
    """What is said of the lengths where on average they are beyond what a pull has; else nothing."""
    lengths = [pull.length_m for pull in job.pulls if pull.landed and pull.length_m is not None]
    each = len(lengths) >= LEAST_ALL_LONG and min(lengths) > MOST_OF_PULL_M
    if not each and (len(lengths) < LEAST_LONG or mean(lengths) <= MOST_OF_PULL_M):
        return ""
    return f"the pulls are {_length(mean(lengths), job)} long on average, more than {_length(MOST_OF_PULL_M, job)}"


def _length(metres: float, job: Job) -> str:
    """A length in the unit of the job."""
    return f"{metres / LENGTH_M[job.length_unit]:,.0f} {job.length_unit}"
