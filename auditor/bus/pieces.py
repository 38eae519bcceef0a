"""What no port feeds, in pieces that hang together."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from auditor.bus.topology import Topology
from auditor.job.model import Device, Pull, Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Devices and landed pulls that are joined to each other and to no port."""

    root: str  # the end that should be fed: where its pulls begin
    ends: frozenset[str]
    devices: tuple[Device, ...]
    pulls: tuple[Pull, ...]

    @property
    def rows(self) -> frozenset[Row]:
        cells = [*(device.where for device in self.devices), *(pull.where for pull in self.pulls)]
        return frozenset((where.sheet, where.row) for where in cells)


def unfed_pieces(topology: Topology) -> list[Piece]:
    """The pieces, the greatest first."""
    import networkx as nx

    graph = nx.Graph()
    graph.add_nodes_from(device.tag for device in topology.unfed_devices)
    pulls = [pull for pull in topology.unfed_pulls if pull.landed]
    graph.add_edges_from((pull.near, pull.far) for pull in pulls if pull.near and pull.far)
    ends = list(nx.connected_components(graph))
    at = {end: number for number, component in enumerate(ends) for end in component}
    devices, joined = defaultdict(list), defaultdict(list)
    for device in topology.unfed_devices:
        devices[at[device.tag]].append(device)
    for pull in pulls:
        number = at.get(pull.near, at.get(pull.far))
        if number is not None:
            joined[number].append(pull)
    pieces = [
        Piece(
            root=_root(devices[number], joined[number]),
            ends=frozenset(component),
            devices=tuple(devices[number]),
            pulls=tuple(joined[number]),
        )
        for number, component in enumerate(ends)
    ]
    return sorted(pieces, key=lambda piece: -len(piece.rows))


def _root(devices: Sequence[Device], pulls: Sequence[Pull]) -> str:
    """The first end at which no pull arrives, a device before another end."""
    arrived = {pull.far for pull in pulls}
    ends = dict.fromkeys(end for pull in pulls for end in (pull.near, pull.far) if end)
    starts = [end for end in ends if end not in arrived]
    tags = [device.tag for device in devices]
    known = [end for end in starts if end in tags]
    return (known or starts or tags or list(ends))[0]
