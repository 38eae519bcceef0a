"""Which other names an end of a pull may have: those with which no loop closes and no two ports are joined."""

from collections import defaultdict
from collections.abc import Iterator, Mapping

from auditor.bus.measure import Bus
from auditor.bus.ports import counted
from auditor.job.likeness import nearest
from auditor.job.model import Port, Pull


class OtherEnds:
    """The names of a job's ends, those of the ports that no pull uses yet among them."""

    def __init__(self, bus: Bus) -> None:
        job, runs = bus.job, bus.topology.runs
        self._unused = _unused_ports(bus)  # name -> port
        self.unfed = frozenset(device.tag for device in bus.topology.unfed_devices)
        self._ports: Mapping[str, Port] = {**job.ports, **self._unused}
        self._fed = frozenset(
            {end for run in runs for end in run.distance_m} | self._ports.keys() | job.head_ends
        )
        self._sources = self._ports.keys() | job.head_ends
        ends = sorted(self._ports.keys() | job.head_ends | job.splices)
        self._names = [*(device.tag for device in job.devices), *ends]
        self._pulls_at: dict[str, list[Pull]] = defaultdict(list)  # end -> landed pulls
        for pull in job.pulls:
            for end in {pull.near, pull.far} - {""} if pull.landed else ():
                self._pulls_at[end].append(pull)

    def of(self, pull: Pull, end: str) -> list[str]:
        """The names that an end may have: what nothing feeds where the pull's other end is fed, else what does not hang
        on that end already. A spare return joins nothing and may end anywhere else."""
        other = pull.far if end == pull.near else pull.near
        joined = self._joined_without(pull, other) if pull.landed and other else {other}
        closed = joined | self._fed if pull.landed and joined & self._sources else joined
        return [name for name in self._names if name not in closed and name != end]

    def nearest(self, pull: Pull, end: str) -> str | None:
        """The one of them that an end is most likely a slip of. None: none is near."""
        names = {self.shown(name): name for name in self.of(pull, end)}
        found = nearest(end, list(names), self.unfed)
        return names[found] if found else None

    def shown(self, name: str) -> str:
        """A name as the schedule spells it."""
        return self._ports[name].shown if name in self._ports else name

    def further_ports(self, name: str) -> Mapping[str, Port]:
        """The port that a job has beside its own where an end has a name: none, or one that no pull used."""
        return {name: self._unused[name]} if name in self._unused else {}

    def _joined_without(self, pull: Pull, start: str) -> set[str]:
        """All ends that landed pulls join to one, apart from a pull and the rows that state it again."""
        same = pull.id, pull.near, pull.far
        reached, left = {start}, [start]
        while left:
            end = left.pop()
            if end in self._sources and end != start:
                continue
            for each in self._pulls_at.get(end, ()):
                new = (
                    {each.near, each.far} - reached - {""}
                    if (each.id, each.near, each.far) != same
                    else set()
                )
                reached |= new
                left += new
        return reached


def _unused_ports(bus: Bus) -> dict[str, Port]:
    """The ports that controllers have and no pull uses, spelled as those that are used."""
    used = list(bus.job.ports.values())
    found = (
        port
        for state in bus.controllers
        for port in _ports_like(
            [each for each in used if each.controller == state.name] or used, state.name, state.ports
        )
    )
    return {port.name: port for port in found if port.name not in bus.job.ports}


def _ports_like(used: list[Port], controller: str, count: int) -> Iterator[Port]:
    """The first ports of a controller, numbered or lettered as the used ones are, and written so."""
    first = next((port for port in used if port.written.endswith(port.port)), None)
    for name in counted([port.port for port in used], count):
        written = ""
        if first is not None and first.controller == controller:
            written = first.written.removesuffix(first.port) + name
        yield Port(controller=controller, port=name, written=written)
