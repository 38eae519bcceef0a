"""What a port plan is asked: branches as trees of pulls, controllers, limits."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

Place = Mapping[tuple[str, int], str]  # (branch, node) -> port


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One pull of a branch with what hangs at its far end."""

    pull: str
    parent: int | None  # place of the node before it in the branch; None: the first pull
    length_m: float
    devices: int  # at the far end
    power_w: float
    distance_m: float  # from the head end to the far end
    off_spec: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """The tree that hangs on one pull at the head end; parents stand before their children."""

    id: str
    nodes: tuple[Node, ...]
    scheduled: str | None = None  # port
    pinned: bool = False  # must stay where it is scheduled

    @property
    def cable_m(self) -> float:
        return sum(node.length_m for node in self.nodes)

    @property
    def devices(self) -> int:
        return sum(node.devices for node in self.nodes)

    @property
    def power_w(self) -> float:
        return sum(node.power_w for node in self.nodes)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanController:
    """One controller that a plan may use. None: no such limit."""

    name: str
    ports: tuple[str, ...]
    power_w: float | None = None
    devices: int | None = None
    scheduled: bool = True  # False: it would have to be added


@dataclass(frozen=True, slots=True, kw_only=True)
class PortLimits:
    """What one port may carry. None: no such limit."""

    cable_m: float | None = None
    reach_m: float | None = None
    devices: int | None = None
    power_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """The branches at one head end and what they may go to.

    Parameters
    ----------
    further : the n-th controller (from 1) that would be added
    off_spec_factor : on the limits of a port that carries off-specification cable
    barred : (branch, controller) pairs that the caller found not to work, e.g. for their voltage
    """

    branches: tuple[Branch, ...]
    controllers: tuple[PlanController, ...]
    further: Callable[[int], PlanController]
    limits: PortLimits
    off_spec_factor: float = 1.0
    barred: frozenset[tuple[str, str]] = frozenset()

    def controller_of(self, port: str) -> str:
        return port.rsplit(".", 1)[0]

    def with_further(self, count: int) -> tuple[PlanController, ...]:
        """The scheduled controllers and so many added ones."""
        return (*self.controllers, *(self.further(number) for number in range(1, count + 1)))

    def derated(self, off_spec: bool) -> PortLimits:
        """The limits of a port that carries off-specification cable or not."""
        if not off_spec:
            return self.limits
        limits, factor = self.limits, self.off_spec_factor
        return PortLimits(
            cable_m=None if limits.cable_m is None else limits.cable_m * factor,
            reach_m=None if limits.reach_m is None else limits.reach_m * factor,
            devices=None if limits.devices is None else int(limits.devices * factor + 1e-9),
            power_w=None if limits.power_w is None else limits.power_w * factor,
        )
