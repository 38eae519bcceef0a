"""Good cut lists fast: best-fit decreasing, and filling reel after reel by subset sums.

A subset sum is one Python integer used as a set of bits: bit s is set when some pieces add up to s.
"""

import random
import time
from bisect import bisect_left, insort
from collections.abc import Iterable, Sequence
from itertools import chain

from auditor.calc.cuts.problem import CutProblem, FilledReel

SAMPLE = 40  # lengths offered to one reel; more cost time and hardly ever fill it better
BITS = 17  # finer lengths than 1/2^17 of a reel are rounded up inside a subset sum


class PiecePool:
    """The lengths still to be cut, with their counts."""

    def __init__(self, demand: Iterable[tuple[int, int]]) -> None:
        self.count = {length: count for length, count in demand if count}
        self.lengths = sorted(self.count)  # shortest first

    def __bool__(self) -> bool:
        return bool(self.lengths)

    def pieces(self) -> tuple[int, ...]:
        """Every piece, longest first."""
        return tuple(length for length in reversed(self.lengths) for _ in range(self.count[length]))

    def upto(self, length: int) -> int:
        """How many of `lengths` are at most `length`."""
        return bisect_left(self.lengths, length + 1)

    def repeats(self, cuts: Sequence[int]) -> int:
        """How often this pattern can be cut."""
        return min(self.count[w] // cuts.count(w) for w in set(cuts))

    def take(self, cuts: Iterable[int], times: int = 1) -> None:
        for length in cuts:
            self.count[length] -= times
            if not self.count[length]:
                del self.count[length]
                del self.lengths[bisect_left(self.lengths, length)]


def fill(room: int, pool: PiecePool, turn: int = 0, slack: int = 0) -> tuple[int, ...]:
    """The longest piece that goes in, then the rest as full as a sample of the pool allows."""
    fitting = pool.upto(room)
    if not fitting:
        return ()
    first = pool.lengths[fitting - 1]
    room -= first
    small = pool.lengths[: pool.upto(room)][::-1]
    step = len(small) // SAMPLE + 1
    best: tuple[int, ...] = ()
    for start in range(min(step, 3)):
        cuts = fullest(room, small[(start + turn) % step :: step], pool, first, slack)
        best = max(best, cuts, key=sum)
        if sum(best) >= room - slack:
            break
    return (first, *best)


def fullest(
    room: int, lengths: Sequence[int], pool: PiecePool, taken: int = 0, slack: int = 0
) -> tuple[int, ...]:
    """The subset of the pool's pieces of these lengths that fills the room best.

    Parameters
    ----------
    lengths : longest first
    taken : a length of which one piece is spoken for already
    """
    shift = max(0, room.bit_length() - BITS)
    space = room >> shift
    mask, enough = (1 << (space + 1)) - 1, max(0, space - (slack >> shift))
    reach, steps = 1, []
    for length in lengths:
        size = -(-length >> shift)
        for _ in range(min(pool.count[length] - (length == taken), room // length)):
            steps.append((length, size, reach))
            reach |= (reach << size) & mask
        if reach >> enough:
            break
    at = reach.bit_length() - 1
    cuts = []
    for length, size, before in reversed(steps):
        if not before >> at & 1:
            cuts.append(length)
            at -= size
    return tuple(reversed(cuts))


def filled(cutting: CutProblem, kind: int, turn: int = 0, waste: float = 0.0) -> list[FilledReel]:
    """The shelf first, then reels of one kind (a longer one where a piece needs it), each filled.

    Parameters
    ----------
    waste : the share of a reel that may be wasted to keep the short pieces for later, when they are needed
    """
    pool, plan = PiecePool(cutting.demand.items()), []
    for number in cutting.shelf():
        if cuts := fill(cutting.kinds[number].length, pool, turn):
            pool.take(cuts)
            plan.append(FilledReel(number, cuts))
    while pool:
        number = _opened(cutting, kind, pool.lengths[-1])
        room = cutting.kinds[number].length
        cuts = fill(room, pool, turn + len(plan), int(waste * room))
        times = pool.repeats(cuts)
        pool.take(cuts, times)
        plan += [FilledReel(number, cuts)] * times
    return fitted(cutting, plan)


def best_fit(cutting: CutProblem, kind: int) -> list[FilledReel]:
    """Best-fit decreasing: each piece, longest first, where it leaves the least room."""
    cuts: list[list[int]] = [[] for _ in cutting.shelf()]
    kinds = cutting.shelf()
    rooms = sorted((cutting.kinds[number].length, reel) for reel, number in enumerate(kinds))
    for length, count in sorted(cutting.demand.items(), reverse=True):
        for _ in range(count):
            at = bisect_left(rooms, (length, -1))
            if at == len(rooms):
                number = _opened(cutting, kind, length)
                kinds.append(number)
                cuts.append([])
                insort(rooms, (cutting.kinds[number].length, len(cuts) - 1))
                at = bisect_left(rooms, (length, -1))
            room, reel = rooms.pop(at)
            cuts[reel].append(length)
            insort(rooms, (room - length, reel))
    return fitted(cutting, [FilledReel(n, tuple(c)) for n, c in zip(kinds, cuts, strict=True) if c])


def _opened(cutting: CutProblem, kind: int, length: int) -> int:
    if cutting.kinds[kind].length >= length:
        return kind
    longer = (n for n in cutting.bought() if cutting.kinds[n].length >= length)
    return min(longer, key=lambda n: (cutting.kinds[n].cost, cutting.kinds[n].length))


def fitted(cutting: CutProblem, plan: list[FilledReel]) -> list[FilledReel]:
    """The same cuts on the cheapest reels that hold them; two reels become one where that costs no more."""
    ranked = sorted(cutting.bought(), key=lambda n: (cutting.kinds[n].cost, -cutting.kinds[n].length))
    longest = max(cutting.bought(), key=lambda n: cutting.kinds[n].length)
    kept, small = list[FilledReel](), list[FilledReel]()
    for reel in plan:
        if cutting.kinds[reel.kind].limit is not None:
            kept.append(reel)
            continue
        cheapest = next(n for n in ranked if cutting.kinds[n].length >= sum(reel.cuts))
        (kept if cheapest == longest else small).append(FilledReel(cheapest, reel.cuts))
    return kept + _paired_reels(cutting, small, longest)


def _paired_reels(cutting: CutProblem, small: list[FilledReel], longest: int) -> list[FilledReel]:
    """Pairs of shorter reels, the fullest with the fullest that goes with it, on one of the longest."""
    room, cost = cutting.kinds[longest].length, cutting.kinds[longest].cost
    small = sorted(small, key=lambda reel: sum(reel.cuts))
    used = [sum(reel.cuts) for reel in small]
    plan = []
    while small:
        reel, length = small.pop(), used.pop()
        partner = bisect_left(used, room - length + 1) - 1
        if partner >= 0 and cutting.kinds[reel.kind].cost + cutting.kinds[small[partner].kind].cost >= cost:
            used.pop(partner)
            both = sorted(reel.cuts + small.pop(partner).cuts, reverse=True)
            reel = FilledReel(longest, tuple(both))
        plan.append(reel)
    return plan


def packed(
    cutting: CutProblem, reels: Sequence[int], rounds: int, deadline: float
) -> list[FilledReel] | None:
    """A plan on exactly these reels (kind numbers), or None where this search finds none.

    Parameters
    ----------
    reels : kind numbers, one a reel
    rounds : how often some reels are emptied and filled anew
    deadline : time.perf_counter() after which that stops
    """
    order = sorted(reels, key=lambda n: -cutting.kinds[n].length)
    slack = (sum(cutting.kinds[n].length for n in order) - cutting.total) // len(order)
    pool = PiecePool(cutting.demand.items())
    plan = _fill_each(cutting, order, pool, 0, slack)
    chance = random.Random(len(order))
    for turn in range(1, rounds + 1):
        if not pool or time.perf_counter() > deadline:
            break
        plan, pool = _refilled(cutting, plan, pool, chance, turn)
    return None if pool else [reel for reel in plan if reel.cuts]


def _fill_each(
    cutting: CutProblem, order: Sequence[int], pool: PiecePool, turn: int, slack: int = 0
) -> list[FilledReel]:
    plan: list[FilledReel] = []
    order = sorted(order, key=order.index)  # equal reels together: they are filled several at a time
    while len(plan) < len(order):
        number = order[len(plan)]
        cuts = fill(cutting.kinds[number].length, pool, turn + len(plan), slack)
        same = order.count(number) - sum(reel.kind == number for reel in plan)
        times = min(same, (pool.repeats(cuts) + 1) // 2) if cuts else same
        pool.take(cuts, times)
        plan += [FilledReel(number, cuts)] * times
    return plan


def _refilled(
    cutting: CutProblem, plan: list[FilledReel], pool: PiecePool, chance: random.Random, turn: int
) -> tuple[list[FilledReel], PiecePool]:
    """Empties the loosest reel and a few others, and fills them again; keeps the better plan."""
    spare = [cutting.kinds[reel.kind].length - sum(reel.cuts) for reel in plan]
    loosest = sorted(range(len(plan)), key=lambda n: -spare[n])[: 1 + turn % 3]
    others = chance.sample(range(len(plan)), min(len(plan), 2 + turn % 4))
    emptied = sorted({*loosest, *others})
    chance.shuffle(emptied)
    fresh = PiecePool(counted(chain(pool.pieces(), *(plan[n].cuts for n in emptied))).items())
    refill = _fill_each(cutting, [plan[n].kind for n in emptied], fresh, turn)
    if sum(fresh.pieces()) > sum(pool.pieces()):
        return plan, pool
    kept = [reel for n, reel in enumerate(plan) if n not in set(emptied)]
    return kept + refill, fresh


def counted(pieces: Iterable[int]) -> dict[int, int]:
    count: dict[int, int] = {}
    for length in pieces:
        count[length] = count.get(length, 0) + 1
    return count
