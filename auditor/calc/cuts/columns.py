"""Cut lists by linear programming: a bound from column generation, and plans by diving into it.

The bound does not rest on the LP solver: its prices are rounded to whole numbers, and the dearest pattern
under them is found by an exact knapsack of our own, which makes them a proof.

Source
------
P. C. Gilmore and R. E. Gomory, A linear programming approach to the cutting-stock problem, Operations
Research 9 (1961) 849-859; A. A. Farley, A note on bounding a class of linear programming problems,
Operations Research 38 (1990) 922-923 (both from memory).
"""

import math
import time
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from auditor.calc.cuts.fill import filled
from auditor.calc.cuts.problem import CutProblem, FilledReel, PlanValue
from auditor.calc.quiet_solver import quiet_solver

BITS = 15  # finer lengths than 1/2^15 of a reel are rounded down inside the knapsack: still a bound
MOST_PATTERNS = 8  # new patterns a round and kind of reel
FREE = 1e30  # what the solver takes for no limit
PRICE_SCALE = 2**40
MOST_LENGTHS = 400  # more different lengths are rounded down to so many for the bound


class PatternColumns:
    """The LP over the cutting patterns found so far, and its best proven bound on the cost."""

    def __init__(self, cutting: CutProblem, plan: list[FilledReel], deadline: float) -> None:
        import numpy as np

        self.cutting, self.deadline = cutting, deadline
        self.rows = {length: row for row, length in enumerate(cutting.demand)}
        self.lp: Any = quiet_solver()
        none = np.array([], dtype=np.int32), np.array([], dtype=float)
        for count in cutting.demand.values():
            self.lp.addRow(float(count), FREE, 0, *none)
        self.shelf_rows: dict[int, int] = {}
        for number, kind in enumerate(cutting.kinds):
            if kind.limit is not None:
                self.shelf_rows[number] = len(self.rows) + len(self.shelf_rows)
                self.lp.addRow(-FREE, float(kind.limit), 0, *none)
        self.columns: list[FilledReel] = []
        self.known: set[FilledReel] = set()
        self.bound, self.cost = Fraction(0), math.inf
        self._singles()
        for reel in plan:
            self.add(FilledReel(reel.kind, tuple(sorted(reel.cuts, reverse=True))))

    def _singles(self) -> None:
        """One piece a reel: the LP has a solution whatever is left."""
        bought = [(self.cutting.kinds[n].cost, n) for n in self.cutting.bought()]
        for length in self.cutting.demand:
            fitting = [(cost, n) for cost, n in bought if self.cutting.kinds[n].length >= length]
            self.add(FilledReel(min(fitting)[1], (length,)))

    def add(self, reel: FilledReel) -> bool:
        """Whether the pattern is a new one."""
        import numpy as np

        if reel in self.known:
            return False
        entries = {self.rows[length]: float(reel.cuts.count(length)) for length in set(reel.cuts)}
        if reel.kind in self.shelf_rows:
            entries[self.shelf_rows[reel.kind]] = 1.0
        index = np.array(list(entries), dtype=np.int32)
        cost = float(self.cutting.kinds[reel.kind].cost)
        self.lp.addCol(cost, 0.0, FREE, len(entries), index, np.array(list(entries.values())))
        self.columns.append(reel)
        self.known.add(reel)
        return True

    def price(self, demand: Mapping[int, int], whole: bool) -> bool:
        """One round: solve, look for better patterns; True while some were found.

        `whole` : `demand` is all that is wanted, so the prices also prove a bound.
        """
        self.lp.run()
        self.cost = self.lp.getInfo().objective_function_value
        duals = list(self.lp.getSolution().row_dual)
        prices = {w: int(max(0.0, duals[row]) * PRICE_SCALE) for w, row in self.rows.items() if w in demand}
        knapsack = _Knapsack(prices, demand, max(kind.length for kind in self.cutting.kinds))
        worth = [knapsack.best(kind.length) for kind in self.cutting.kinds]
        if whole:
            self.bound = max(self.bound, self._proven(prices, worth))
        added = 0
        for number, kind in enumerate(self.cutting.kinds):
            paid = duals[self.shelf_rows[number]] if number in self.shelf_rows else 0.0
            least = (kind.cost - paid) * PRICE_SCALE * (1 + 1e-9)
            if worth[number] > least:
                added += sum(
                    self.add(FilledReel(number, cuts)) for cuts in knapsack.patterns(kind.length, least)
                )
        return added > 0

    def _proven(self, prices: Mapping[int, int], worth: list[int]) -> Fraction:
        """The cost that these prices prove: divided so that no pattern is worth more than its reel."""
        bought = self.cutting.bought()
        over = max(Fraction(worth[n], self.cutting.kinds[n].cost * PRICE_SCALE) for n in bought)
        if not over:
            return Fraction(0)
        paid = sum(prices[w] * count for w, count in self.cutting.demand.items())
        free = sum(worth[n] * (self.cutting.kinds[n].limit or 0) for n in self.shelf_rows)
        return Fraction(paid - free, PRICE_SCALE) / over

    def solve(self, known: int, enough: int) -> None:
        """Generates columns while the bound may still pass `known` and has not passed `enough`."""
        while time.perf_counter() < self.deadline and self.price(self.cutting.demand, True):
            if self.bound > enough or self.cost <= known:
                break


class _Knapsack:
    """The dearest set of pieces for every room up to a reel's length (bounded, exact whole numbers)."""

    def __init__(self, prices: Mapping[int, int], demand: Mapping[int, int], longest: int) -> None:
        import numpy as np

        self.prices, self.demand = prices, demand
        self.shift = max(0, longest.bit_length() - BITS)
        self.value: Any = np.zeros((longest >> self.shift) + 1, dtype=np.int64)
        self.steps: list[tuple[int, int, int, Any]] = []
        for length, price in prices.items():
            size = length >> self.shift
            left = min(demand[length], longest // length) if price else 0
            times = 1
            while left:
                times = min(times, left)
                self._offer(length, times, size * times, price * times)
                left, times = left - times, times * 2

    def _offer(self, length: int, times: int, size: int, price: int) -> None:
        if size >= len(self.value):
            return
        with_it = self.value[: len(self.value) - size] + price
        taken = with_it > self.value[size:]
        self.value[size:][taken] = with_it[taken]
        self.steps.append((length, times, size, taken))

    def best(self, room: int) -> int:
        return int(self.value[room >> self.shift])

    def patterns(self, room: int, least: float) -> Iterator[tuple[int, ...]]:
        """The dearest pattern, and dear ones that contain a given length, all worth more than `least`."""
        starts = [(price + self.best(room - w), w) for w, price in self.prices.items() if w <= room]
        dear = sorted((start for start in starts if start[0] > least), reverse=True)[: MOST_PATTERNS - 1]
        for length in (0, *(w for _, w in dear)):
            cuts = self.cuts(room - length, length)
            if sum(cuts) <= room and cuts.count(length) <= self.demand.get(length, 0):
                yield cuts

    def cuts(self, room: int, first: int = 0) -> tuple[int, ...]:
        at = room >> self.shift
        found = [first] if first else []
        for length, times, size, taken in reversed(self.steps):
            if at >= size and taken[at - size]:
                found += [length] * times
                at -= size
        return tuple(sorted(found, reverse=True))


def coarse(cutting: CutProblem, plan: list[FilledReel]) -> tuple[CutProblem, list[FilledReel]]:
    """The same problem with so few different lengths that an LP is quick; lengths only get shorter."""
    lengths = sorted(cutting.demand)
    group = -(-len(lengths) // MOST_LENGTHS)
    shorter = {length: lengths[at - at % group] for at, length in enumerate(lengths)}
    demand: dict[int, int] = {}
    for length, count in cutting.demand.items():
        demand[shorter[length]] = demand.get(shorter[length], 0) + count
    reels = [FilledReel(reel.kind, tuple(shorter[length] for length in reel.cuts)) for reel in plan]
    return CutProblem(demand, cutting.kinds), reels


def dive(columns: PatternColumns, best: list[FilledReel], target: PlanValue, turn: int) -> list[FilledReel]:
    """Rounds the LP down, solves again for what is left, and so on; the best plan met on the way.

    Parameters
    ----------
    best : a plan to beat
    target : stop at a plan of this value
    turn : another turn starts from another pattern
    """
    cutting = columns.cutting
    left, used, fixed = dict(cutting.demand), dict[int, int](), list[FilledReel]()
    while left and time.perf_counter() < columns.deadline:
        for reel in _rounded(columns, left, used, turn if not fixed else 0):
            if cuts := _taken(left, reel.cuts):
                fixed.append(FilledReel(reel.kind, cuts))
                used[reel.kind] = used.get(reel.kind, 0) + 1
        left = {length: count for length, count in left.items() if count}
        rest = cutting.with_demand(left, used)
        if cutting.value(fixed) >= cutting.value(best):
            break
        for kind in cutting.bought():
            plan = fixed + filled(rest, kind, turn)
            best = min(best, plan, key=cutting.value)
        if cutting.value(best) <= target:
            break
    return best


def _taken(left: dict[int, int], cuts: tuple[int, ...]) -> tuple[int, ...]:
    """The part of a pattern that is still wanted; `left` goes down by it."""
    taken = []
    for length in cuts:
        if left[length]:
            left[length] -= 1
            taken.append(length)
    return tuple(taken)


def _rounded(
    columns: PatternColumns, left: Mapping[int, int], used: Mapping[int, int], turn: int
) -> list[FilledReel]:
    """Whole parts of the LP's solution for what is left; where there are none, its largest part."""
    _restrict(columns, left, used)
    for _ in range(30):
        if time.perf_counter() > columns.deadline or not columns.price(left, False):
            break
    columns.lp.run()
    amounts = list(columns.lp.getSolution().col_value)
    whole = [r for r, x in zip(columns.columns, amounts, strict=True) for _ in range(int(x + 1e-6))]
    if whole:
        return whole
    ranked = sorted(range(len(amounts)), key=lambda n: (-round(amounts[n], 6), columns.columns[n]))
    return [columns.columns[ranked[min(turn, len(ranked) - 1)]]]


def _restrict(columns: PatternColumns, left: Mapping[int, int], used: Mapping[int, int]) -> None:
    """Only patterns that can still be cut as they are."""
    for length, row in columns.rows.items():
        columns.lp.changeRowBounds(row, float(left.get(length, 0)), FREE)
    for number, row in columns.shelf_rows.items():
        limit = columns.cutting.kinds[number].limit or 0
        columns.lp.changeRowBounds(row, -FREE, float(limit - used.get(number, 0)))
    for at, reel in enumerate(columns.columns):
        fits = all(reel.cuts.count(w) <= left.get(w, 0) for w in set(reel.cuts))
        columns.lp.changeColBounds(at, 0.0, FREE if fits else 0.0)
