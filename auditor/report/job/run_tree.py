"""A job's runs as trees of ends, from the port outward: what the run drawing shows.

An end stands behind the end that feeds it, as a list in which the whole branch of an end follows it; so
no depth of a chain is too deep.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.results.audit_result import Audit, DeviceResult, PullResult, RunResult

_Key = tuple[str | None, str | None, str | None]  # controller, port, first pull of a run without a port


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeEnd:
    """One end of a run: a device, a splice, a port, or a name that the job does not know."""

    name: str
    above: (
        int | None
    )  # place of the end that feeds it; None: a source, or where a piece that is not fed begins
    pull: PullResult | None  # that feeds it
    distance_m: float | None  # from the source; None: a pull on the way has no length
    devices: tuple[DeviceResult, ...] = ()  # of that tag; none: a splice, a source or an unknown name
    hanging: tuple[
        PullResult, ...
    ] = ()  # pulls that feed nothing: they close a loop, join ports, or are spare
    met: tuple[PullResult, ...] = ()  # pulls that hang at another end and close a loop or join ports here


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTree:
    """The ends of one run, or of one piece that no port feeds (`run` None)."""

    run: RunResult | None
    ends: tuple[TreeEnd, ...]

    @property
    def devices(self) -> int:
        """Ends with a device; how many pieces a row stands for does not count."""
        return sum(bool(end.devices) for end in self.ends)


def run_trees(audit: Audit) -> list[RunTree]:
    """The runs that have a pull, in the audit's order, then the pieces that nothing feeds."""
    devices, spares = _devices_at(audit), _spares_at(audit)
    pulls_of: dict[_Key, list[PullResult]] = defaultdict(list)
    stated = set()
    for pull in audit.pulls:
        if pull.landed and (pull.controller or pull.branch):
            pulls_of[pull.controller, pull.port, pull.branch].append(pull)
            stated.add(_identity(pull))
    trees = []
    for run in audit.runs:
        pulls = pulls_of.pop((run.controller, run.port, None if run.port else run.branch), ())
        if pulls:
            trees.append(RunTree(run=run, ends=_tree(pulls, devices, spares)))
    loose = {
        _identity(pull): pull
        for pull in audit.pulls
        if pull.landed and not pull.controller and not pull.branch and pull.near and pull.far
    }
    pieces = _pieces([pull for identity, pull in loose.items() if identity not in stated])
    for piece in pieces:
        fed = _fed_from(_start(piece, audit.unknown_ends), piece)
        trees.append(RunTree(run=None, ends=_tree(fed, devices, spares)))
    return trees


def devices_without_pull(audit: Audit) -> list[str]:
    """Tags of devices at which no landed pull ends, in the order of the list."""
    ends = {
        end for pull in audit.pulls if pull.landed and pull.near and pull.far for end in (pull.near, pull.far)
    }
    return list(dict.fromkeys(device.tag for device in audit.devices if device.tag not in ends))


def _devices_at(audit: Audit) -> Mapping[str, list[DeviceResult]]:
    found: dict[str, list[DeviceResult]] = defaultdict(list)
    for device in audit.devices:
        found[device.tag].append(device)
    return found


def _spares_at(audit: Audit) -> Mapping[str, list[PullResult]]:
    """Spare returns under the end that is a device, or their first end."""
    tags = {device.tag for device in audit.devices}
    found: dict[str, list[PullResult]] = defaultdict(list)
    for pull in audit.pulls:
        if not pull.landed:
            found[pull.far if pull.near not in tags and pull.far in tags else pull.near].append(pull)
    return found


def _identity(pull: PullResult) -> object:
    """What rows that state one pull twice have in common."""
    return (pull.id, frozenset((pull.near, pull.far))) if pull.id else pull.where


def _tree(
    pulls: Sequence[PullResult],
    devices: Mapping[str, list[DeviceResult]],
    spares: Mapping[str, list[PullResult]],
) -> tuple[TreeEnd, ...]:
    """The ends in the order they are drawn, of pulls that say what they feed."""
    below: dict[str, list[PullResult]] = defaultdict(list)
    hanging: dict[str, list[PullResult]] = defaultdict(list)
    met: dict[str, list[PullResult]] = defaultdict(list)
    for pull in pulls:
        if pull.feeds is None:
            hanging[pull.near].append(pull)
            met[pull.far] += [pull] * (pull.near != pull.far)
        else:
            below[_other_end(pull)].append(pull)
    ends: list[TreeEnd] = []
    for name, above, feed in _in_order(pulls, below):
        ends.append(
            TreeEnd(
                name=name,
                above=above,
                pull=feed,
                distance_m=_distance_m(None if above is None else ends[above], feed),
                devices=tuple(devices.get(name, ())),
                hanging=(*hanging.get(name, ()), *spares.get(name, ())),
                met=tuple(met.get(name, ())),
            )
        )
    return tuple(ends)


def _in_order(
    pulls: Sequence[PullResult], below: Mapping[str, list[PullResult]]
) -> Iterator[tuple[str, int | None, PullResult | None]]:
    """(end, place of the end above it, pull that feeds it): of what hangs on an end the smallest first, so that
    the lines down are short."""
    fed = {pull.feeds for pull in pulls}
    ends = dict.fromkeys(end for pull in pulls for end in (pull.near, pull.far))
    roots = [end for end in ends if end not in fed]
    sizes = _sizes(roots, below)
    stack: list[tuple[str, int | None, PullResult | None]] = [(root, None, None) for root in reversed(roots)]
    place = 0
    while stack:
        yield (found := stack.pop())
        smallest_first = sorted(
            below.get(found[0], ()), key=lambda each: (sizes[each.feeds or ""], each.length_m or 0.0)
        )
        stack += [(each.feeds or "", place, each) for each in reversed(smallest_first)]
        place += 1


def _sizes(roots: Iterable[str], below: Mapping[str, list[PullResult]]) -> Mapping[str, int]:
    """How many ends hang on each end, itself counted."""
    order = list(roots)
    for name in order:  # grows while it is read: sources first
        order += [pull.feeds for pull in below.get(name, ()) if pull.feeds]
    sizes = dict.fromkeys(order, 1)
    for name in reversed(order):
        sizes[name] += sum(sizes[pull.feeds] for pull in below.get(name, ()) if pull.feeds)
    return sizes


def _distance_m(above: TreeEnd | None, pull: PullResult | None) -> float | None:
    if above is None or pull is None:
        return 0.0
    known = above.distance_m is not None and pull.length_m is not None
    return above.distance_m + pull.length_m if known else None  # type: ignore[operator]


def _other_end(pull: PullResult) -> str:
    return pull.near if pull.feeds == pull.far else pull.far


def _pieces(pulls: Sequence[PullResult]) -> Iterator[list[PullResult]]:
    """Pulls that hang together, in the order of their first ones."""
    at, seen = _pulls_at(pulls), set()
    order = {id(pull): place for place, pull in enumerate(pulls)}
    for first in pulls:
        if first.near in seen:
            continue
        ends, piece = [first.near], {}
        seen.add(first.near)
        for name in ends:  # grows while it is read
            for pull in at[name]:
                piece[id(pull)] = pull
                new = {pull.near, pull.far} - seen
                ends += new
                seen |= new
        yield sorted(piece.values(), key=lambda pull: order[id(pull)])


def _pulls_at(pulls: Iterable[PullResult]) -> Mapping[str, list[PullResult]]:
    at: dict[str, list[PullResult]] = defaultdict(list)
    for pull in pulls:
        at[pull.near].append(pull)
        at[pull.far].append(pull)
    return at


def _start(piece: Sequence[PullResult], unknown: frozenset[str]) -> str:
    """The end that should have fed a piece: one that the job does not know, else one to which no pull leads."""
    ends = list(dict.fromkeys(end for pull in piece for end in (pull.near, pull.far)))
    led_to = {pull.far for pull in piece}
    return min(ends, key=lambda end: (end not in unknown, end in led_to))


def _fed_from(start: str, piece: Sequence[PullResult]) -> list[PullResult]:
    """The pulls of a piece as if a source stood at one end, each with what it would feed."""
    at, order, feeds = _pulls_at(piece), [start], {start: -1}
    for name in order:  # grows while it is read
        for pull in at[name]:
            other = pull.far if pull.near == name else pull.near
            if other not in feeds:
                feeds[other] = id(pull)
                order.append(other)
    fed = {key: end for end, key in feeds.items()}
    return [replace(pull, feeds=fed.get(id(pull))) for pull in piece]
