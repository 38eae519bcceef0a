"""A first port plan: cut what is too big, keep what the schedule has, fill the ports by best fit."""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from auditor.calc.ports.parts import Assignment, BranchPart, BranchParts, PortLoad, share
from auditor.units import exceeds

TRIES = 60


@dataclass(frozen=True, slots=True)
class Group:
    """Parts that stay joined, and what they load on a port of their own."""

    parts: tuple[int, ...]
    load: PortLoad
    home: int | None  # slot of the schedule
    pinned: bool


def first_plan(parts: BranchParts, fewest: int) -> Assignment | None:
    """A plan on as few controllers as best fit finds, or None where it finds none."""
    groups = [group for number in range(len(parts.problem.branches)) for group in _groups(parts, number)]
    ranked = _ranked(parts)
    for count in range(max(1, fewest), len(ranked) + 1):
        tries = (_Filling(parts, set(ranked[:count])).fill(groups, turn) for turn in range(TRIES))
        plans = [plan for plan in tries if plan is not None and parts.keeps(plan)]
        if plans:
            return min(plans, key=parts.score)
    return None


def _ranked(parts: BranchParts) -> list[int]:
    """Controllers in the order of use: with pinned branches, with most scheduled ones, as listed."""
    pinned, scheduled = [0] * len(parts.controllers), [0] * len(parts.controllers)
    for part in parts.parts:
        slot = parts.scheduled(part)
        if slot is not None:
            scheduled[parts.slots[slot].controller] += 1
            pinned[parts.slots[slot].controller] += parts.problem.branches[part.branch].pinned
    old = len(parts.problem.controllers)
    return sorted(range(len(scheduled)), key=lambda n: (n >= old, -pinned[n], -scheduled[n], n))


def _groups(parts: BranchParts, branch: int) -> list[Group]:
    """A whole branch, or its cut pieces: from the far ends inwards, the largest subtree goes first."""
    numbers = [n for n, part in enumerate(parts.parts) if part.branch == branch]
    below: dict[int, list[int]] = {}
    children: dict[int, list[int]] = {n: [] for n in numbers}
    cut: list[Group] = []
    for n in reversed(numbers):
        below[n] = [n, *(m for child in children[n] for m in below[child])]
        while not parts.port_keeps(_load(parts, below[n])) and children[n]:
            child = max(children[n], key=lambda c: (sum(parts.parts[m].cable_m for m in below[c]), -c))
            children[n].remove(child)
            cut.append(_group(parts, below[child]))
            below[n] = [m for m in below[n] if m not in set(below[child])]
        parent = parts.parts[n].parent
        if parent is not None:
            children[parent].append(n)
    return [_group(parts, below[numbers[0]]), *cut]


def _group(parts: BranchParts, numbers: Sequence[int]) -> Group:
    head = parts.parts[numbers[0]]
    pinned = head.parent is None and parts.problem.branches[head.branch].pinned
    return Group(tuple(numbers), _load(parts, numbers), parts.scheduled(head), pinned)


def _load(parts: BranchParts, numbers: Sequence[int]) -> PortLoad:
    """Of parts joined to each other and fed by a home run of their own."""
    head, *rest = (parts.parts[n] for n in numbers)
    lifted = head.parent is not None
    members: list[BranchPart] = [head, *rest]
    return PortLoad(
        (head.home_m if lifted else head.cable_m) + sum(part.cable_m for part in rest),
        sum(part.devices for part in members),
        sum(part.power_w for part in members),
        max(part.reach_m for part in members),
        any(part.off_spec for part in rest) or (head.off_spec and not lifted),
    )


@dataclass(slots=True)
class _Filling:
    """Ports being filled, on some of the controllers."""

    parts: BranchParts
    allowed: set[int]
    loads: dict[int, PortLoad] = field(default_factory=dict)
    totals: dict[int, tuple[int, float]] = field(default_factory=dict)

    def fill(self, groups: Sequence[Group], turn: int) -> Assignment | None:
        chance = random.Random(turn)
        noise = {group.parts: 1 + 0.15 * min(turn, 8) * (chance.random() - 0.5) for group in groups}
        placed: dict[tuple[int, ...], int] = {}
        keep = sorted(groups, key=lambda g: (not g.pinned, self.size(g) * noise[g.parts], g.parts))
        if turn % 3 == 2:
            keep = [group for group in keep if group.pinned]
        for group in keep:
            if group.home is not None and self.fits(group, group.home):
                self.put(group.home, group.load)
                placed[group.parts] = group.home
        rest = (group for group in groups if group.parts not in placed)
        for group in sorted(rest, key=lambda g: (-self.size(g) * noise[g.parts], g.parts)):
            slot = None if group.pinned else self.best(group)
            if slot is None:
                return None
            self.put(slot, group.load)
            placed[group.parts] = slot
        slots = {n: slot for numbers, slot in placed.items() for n in numbers}
        return tuple(slots[n] for n in range(len(self.parts.parts)))

    def size(self, group: Group) -> float:
        supplies = (self.parts.controllers[number].power_w for number in self.allowed)
        of_supply = max(share(group.load.power_w, power_w) for power_w in supplies)
        return max(self.parts.port_utilisation(group.load), of_supply)

    def after(self, slot: int, load: PortLoad) -> PortLoad | None:
        """What the slot would carry with this load added; None where a limit breaks."""
        number = self.parts.slots[slot].controller
        if number not in self.allowed:
            return None
        before = self.loads.get(slot, PortLoad())
        joined = PortLoad(
            before.cable_m + load.cable_m,
            before.devices + load.devices,
            before.power_w + load.power_w,
            max(before.reach_m, load.reach_m),
            before.derated or load.derated,
        )
        controller, (devices, power_w) = self.parts.controllers[number], self.totals.get(number, (0, 0.0))
        too_many = exceeds(devices + load.devices, controller.devices, "")
        too_much = exceeds(power_w + load.power_w, controller.power_w, "W")
        return None if too_many or too_much or not self.parts.port_keeps(joined) else joined

    def fits(self, group: Group, slot: int) -> PortLoad | None:
        """What the slot would carry with this group; None where it cannot be there."""
        return self.after(slot, group.load) if self.parts.may(group.parts[0], slot) else None

    def best(self, group: Group) -> int | None:
        """The port that this group fills most; off-spec branches go together."""
        best: tuple[bool, float, int] | None = None
        for slot in range(len(self.parts.slots)):
            joined = self.fits(group, slot)
            if joined is None:
                continue
            full = self.parts.port_utilisation(joined)
            apart = slot in self.loads and self.loads[slot].derated != group.load.derated
            if best is None or (apart, -full, slot) < best:
                best = (apart, -full, slot)
        return None if best is None else best[2]

    def put(self, slot: int, load: PortLoad) -> None:
        joined = self.after(slot, load)
        self.loads[slot] = replace(joined) if joined else load
        number = self.parts.slots[slot].controller
        devices, power_w = self.totals.get(number, (0, 0.0))
        self.totals[number] = devices + load.devices, power_w + load.power_w
