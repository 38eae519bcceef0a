"""The port problem's records: branches, controllers and limits of one head end."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple


class PlanPort(NamedTuple):
    """The controller's name and the port's, as in the schedule."""

    controller: str
    port: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanController:
    """One controller: its ports and what it can feed (None: no limit)."""

    name: str
    ports: tuple[str, ...]
    power_w: float | None = None
    devices: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PortLimits:
    """What one port can carry (None: no limit), and the share of it left to off-spec cable."""

    cable_m: float | None = None
    devices: int | None = None
    power_w: float | None = None
    reach_m: float | None = None
    off_spec_factor: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TreePull:
    """One pull of a branch that may be cut, with what stands at its far end.

    `parent` is the pull nearer the port, None for the home run. `end` names the far end in messages.
    """

    id: str
    parent: str | None
    length_m: float
    devices: int = 0
    power_w: float = 0.0
    end: str = ""
    off_spec: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """Everything that hangs on one pull at the head end. Without `pulls` it cannot be cut."""

    id: str
    cable_m: float
    devices: int
    power_w: float
    reach_m: float
    off_spec: bool = False
    port: PlanPort | None = None  # as scheduled
    controllers: frozenset[str] | None = None  # those that it may be on (None: any)
    pinned: bool = False
    pulls: tuple[TreePull, ...] = ()

    def may_be_on(self, controller: str) -> bool:
        return self.controllers is None or controller in self.controllers


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptApart:
    """Parts, as a `PlannedPort` lists them, that must not all be on one port of these controllers (None: of any)."""

    parts: frozenset[str]
    controllers: frozenset[str] | None = None

    def holds_on(self, controller: str) -> bool:
        return self.controllers is None or controller in self.controllers


@dataclass(frozen=True, slots=True, kw_only=True)
class PortProblem:
    """The branches of one head end and the controllers that can feed them.

    `new_controllers` are offered in this order when the existing ones do not do. `length_unit` is for
    sentences only.
    """

    branches: tuple[Branch, ...]
    controllers: tuple[PlanController, ...]
    new_controllers: tuple[PlanController, ...] = ()
    limits: PortLimits
    length_unit: str = "m"


def outwards(pulls: Sequence[TreePull]) -> list[TreePull]:
    """Pulls with every parent before its children, in a fixed order."""
    children: dict[str | None, list[TreePull]] = {}
    for pull in sorted(pulls, key=lambda p: p.id):
        children.setdefault(pull.parent, []).append(pull)
    found: list[TreePull] = []
    todo = list(reversed(children.get(None, [])))
    while todo:
        pull = todo.pop()
        found.append(pull)
        todo += reversed(children.get(pull.id, []))
    return found
