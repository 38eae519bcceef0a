"""A net by numbers: its fed nodes in an order in which parents stand before their children."""

from dataclasses import dataclass, field

from auditor.calc.volts.net import Net
from auditor.calc.volts.reduction import Reduction, TreeReduction, mesh_reduction


@dataclass(frozen=True, slots=True, kw_only=True)
class FedNet:
    """The fed part of a net; nodes are places in `names`, the sources first."""

    names: list[str]
    fixed_v: list[float]  # of the sources
    power_w: list[float]  # of each node, by kind of load
    current_a: list[float]
    siemens: list[float]
    near: list[int]  # first end of each link of the net; -1: not fed
    far: list[int]  # second end
    reduction: Reduction
    unfed: tuple[str, ...]

    @classmethod
    def of(cls, net: Net) -> "FedNet":
        walk = _outward(net) or _breadth_first(net)
        place = walk.place
        power_w, current_a, siemens = ([0.0] * len(place) for _ in range(3))
        unfed = [*walk.unfed]
        for name, loads in net.loads.items():
            i = place.get(name, -1)
            if i < 0:
                unfed.append(name)
                continue
            for load in loads:
                power_w[i] += load.power_w
                current_a[i] += load.current_a
                siemens[i] += load.siemens
        reduction: Reduction = TreeReduction(walk.parent, walk.ohm)
        if not walk.is_forest:
            joined = zip(walk.near, walk.far, net.links, strict=True)
            links = [(a, b, ohm) for a, b, (_, _, ohm) in joined if a >= 0]
            reduction = mesh_reduction(len(place), len(net.sources), links)
        return cls(
            names=list(place),
            fixed_v=list(net.sources.values()),
            power_w=power_w,
            current_a=current_a,
            siemens=siemens,
            near=walk.near,
            far=walk.far,
            reduction=reduction,
            unfed=tuple(dict.fromkeys(unfed)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Walk:
    place: dict[str, int]  # of the fed nodes, in their order
    parent: list[int]
    ohm: list[float]  # of the link to the parent; sources: 0
    near: list[int]
    far: list[int]
    is_forest: bool = True  # no link was left over
    unfed: list[str] = field(default_factory=list)


def _outward(net: Net) -> _Walk | None:
    """The walk where every link joins a new node to a fed one, as most schedules are written: the order
    of the links serves. None: some link does not."""
    place = {name: i for i, name in enumerate(net.sources)}
    parent = list(range(len(place)))
    near: list[int] = []
    far: list[int] = []
    for a, b, _ in net.links:
        above, beyond = place.get(a), len(parent)
        turned = above is None
        if turned:
            above = place.get(b)
        if above is None or place.setdefault(a if turned else b, beyond) != beyond:
            return None
        parent.append(above)
        near.append(beyond if turned else above)
        far.append(above if turned else beyond)
    ohm = [0.0] * len(net.sources) + [ohm for _, _, ohm in net.links]
    return _Walk(place=place, parent=parent, ohm=ohm, near=near, far=far)


def _breadth_first(net: Net) -> _Walk:
    """The walk of any net. A node's links are chained through two flat lists, so that a large net makes
    no small objects."""
    number = {name: i for i, name in enumerate(net.sources)}
    ends: list[int] = []  # end k belongs to link k // 2, the other end of it is k ^ 1
    for a, b, _ in net.links:
        ends.append(number.setdefault(a, len(number)))
        ends.append(number.setdefault(b, len(number)))
    first, following = [-1] * len(number), [-1] * len(ends)
    for k, i in enumerate(ends):
        following[k] = first[i]
        first[i] = k
    parent = list(range(len(net.sources)))
    order, ohm = list(parent), [0.0] * len(parent)
    place = order + [-1] * (len(number) - len(order))
    walked = 0
    for at, i in enumerate(order):  # grows while it is walked
        k = first[i]
        while k >= 0:
            walked += 1
            j = ends[k ^ 1]
            if place[j] < 0:
                place[j] = len(order)
                order.append(j)
                parent.append(at)
                ohm.append(net.links[k >> 1][2])
            k = following[k]
    names = list(number)
    return _Walk(
        place={names[i]: at for at, i in enumerate(order)},
        parent=parent,
        ohm=ohm,
        near=[place[i] for i in ends[::2]],
        far=[place[i] for i in ends[1::2]],
        is_forest=walked == 2 * (len(order) - len(net.sources)),
        unfed=[name for name, i in zip(names, place, strict=True) if i < 0],
    )
