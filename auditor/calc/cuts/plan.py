"""Cut list: which pull is cut from which reel, in one piece, at the least cost, and whether that is proven.

Lengths are whole micrometres inside, counted in the greatest unit that divides every piece: a schedule in
whole feet is a problem of about a thousand units a reel, whatever the unit it was converted to.
"""

import math
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from auditor.calc.cuts.grouped import Cut, GroupedReel, spare, with_groups, without_groups
from auditor.calc.cuts.grouping import fewer_reels_a_group
from auditor.calc.cuts.longest_offcut import longest_offcut
from auditor.calc.cuts.problem import CutProblem, PlanValue, ReelKind
from auditor.calc.cuts.solve import solve
from auditor.errors import PlanError
from auditor.units import number_text

MICROMETRES = 1_000_000
FIT_TOLERANCE_M = 0.0001  # project convention: pieces that add up to the reel within this fit it
FOR_GROUPS = 0.4  # of the time limit, beside it, for fewer reels a group; project convention
PRICE_STEPS = 10_000  # prices count to 1/10,000 of the currency's unit

CutListStatus = Literal["proven", "best-found"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One length to cut in one piece, allowances included."""

    id: str
    length_m: float
    group: str = ""  # pieces of one group are wanted on few reels


@dataclass(frozen=True, slots=True, kw_only=True)
class ReelToBuy:
    """A reel that can be bought, any number of times."""

    length_m: float
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockReel:
    """A reel or a leftover on the shelf: `count` of one length."""

    length_m: float
    name: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedReel:
    """One reel of the plan. The pieces are in cutting order, the longest first."""

    length_m: float
    on_shelf: bool
    name: str
    price: float | None
    pieces: tuple[Piece, ...]
    offcut_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutListPlan:
    """A cut list with the bound that it was measured against.

    `status` is `proven` when no plan costs less; then `reels_bound` says how few reels any plan of that
    cost can have (equal to the plan's: proven too). On how few reels the groups can be, and how long the
    single offcut, is not proven.
    `cost` and `lower_bound` are in money where a size has a price and in bought metres where none has.
    """

    status: CutListStatus
    reels: tuple[PlannedReel, ...]
    priced: bool
    cost: float
    lower_bound: float
    reels_bound: int
    bought_m: float
    needed_m: float
    offcut_given_up_m: float  # so much longer the longest offcut could be if groups did not matter
    uncut: tuple[str, ...]  # longer than every reel that is there
    assumed: tuple[str, ...]  # sentences


def cut_list(
    pieces: Sequence[Piece],
    reels: Sequence[ReelToBuy],
    stock: Sequence[StockReel] = (),
    time_limit_s: float = 10.0,
    *,
    reserve_m: float = 0.0,
) -> CutListPlan:
    """Which piece is cut from which reel.

    The plan has the least cost (where no size has a price: the least length bought); the shelf costs
    nothing. Among plans of that cost it aims at the fewest reels, the shelf's included, then at the fewest
    pairs of a reel and a group that stands on it, and then at the longest single offcut. Where some sizes
    have a price and others have none, those count at the dearest price per metre that is known, so that none
    looks free.

    Parameters
    ----------
    pieces : lengths to cut [m], > 0; an id may come twice
    reels : sizes that can be bought, at least one
    stock : reels on the shelf
    time_limit_s : after it the best plan so far is given, with its bound; its groups take up to the part
        `FOR_GROUPS` of it beside. A plan that was ready before is the same every time.
    reserve_m : left on each reel, the shelf's too: bought, part of the offcut, never cut for a piece [m]

    Returns
    -------
    the plan; pieces that no reel can hold are listed as `uncut` and take no part

    Raises
    ------
    PlanError : no reel sizes, none longer than the reserve, a length that is not above 0, a price that is
        not above 0

    Source
    ------
    The plan and the bound are checked here, independently of how they were found: project convention.
    """
    _check(pieces, reels, stock, reserve_m)
    frame = _WholeNumbers(pieces, reels, stock, reserve_m)
    lengths, bound = solve(frame.cutting, time_limit_s) if frame.cutting.demand else ([], PlanValue(0, 0))
    loose = with_groups(longest_offcut(frame.cutting, lengths), frame.cuts)
    plan = fewer_reels_a_group(frame.cutting, loose, time.perf_counter() + FOR_GROUPS * time_limit_s)
    if not frame.keeps(plan) or bound > frame.value(plan):
        raise AssertionError("the cut list breaks its own rules")
    return frame.answer(plan, bound, frame.longest_offcut_m(loose) - frame.longest_offcut_m(plan))


def _check(
    pieces: Sequence[Piece], reels: Sequence[ReelToBuy], stock: Sequence[StockReel], reserve_m: float
) -> None:
    if not reels:
        raise PlanError("no reel sizes are given, so nothing can be cut; give at least one length of reel")
    for length_m in [reel.length_m for reel in reels] + [reel.length_m for reel in stock]:
        if not 0 < length_m < math.inf:
            raise PlanError(f"a reel of {number_text(length_m)} m cannot be cut; give it a length above 0")
    if not 0 <= reserve_m < max(reel.length_m for reel in reels):
        raise PlanError(
            f"no reel that can be bought is longer than the {number_text(reserve_m)} m that are left on each; "
            "give longer reels or a smaller reserve"
        )
    for reel in reels:
        if reel.price is not None and not 0 < reel.price < math.inf:
            size = number_text(reel.length_m)
            raise PlanError(
                f"the reel of {size} m has a price of {number_text(reel.price, 2)}; give one above 0 or none"
            )
    for piece in pieces:
        if not 0 < piece.length_m < math.inf:
            found = number_text(piece.length_m)
            raise PlanError(f"pull {piece.id} is {found} m long and cannot be cut; give it a length above 0")


def _micrometres(length_m: float) -> int:
    return round(length_m * MICROMETRES)


@dataclass(slots=True)
class _Shelved:
    """One reel on the shelf, with the pieces that only the shelf can hold already on it."""

    reel: StockReel
    holds: int  # micrometres
    first: list[Piece]

    @property
    def room(self) -> int:
        return self.holds - sum(_micrometres(p.length_m) for p in self.first)


class _WholeNumbers:
    """A cut list's pieces and reels in whole numbers, and a plan turned back into metres."""

    def __init__(
        self,
        pieces: Sequence[Piece],
        reels: Sequence[ReelToBuy],
        stock: Sequence[StockReel],
        reserve_m: float,
    ) -> None:
        self.reserve_m = reserve_m
        self.sizes = _sizes(reel for reel in reels if reel.length_m > reserve_m)
        self.longest = self._holds(self.sizes[-1])
        usable = [reel for reel in stock if reel.length_m > reserve_m]
        self.shelf = [_Shelved(reel, self._holds(reel), []) for reel in usable for _ in range(reel.count)]
        self.uncut: list[str] = []
        self.short_of_shelf = False
        self.rest = [piece for piece in pieces if _micrometres(piece.length_m) <= self.longest]
        self._place_overlong([piece for piece in pieces if _micrometres(piece.length_m) > self.longest])
        self.unit = math.gcd(*(_micrometres(piece.length_m) for piece in self.rest)) or 1
        self.priced = any(size.price is not None for size in self.sizes)
        self.cutting = self._cutting()
        self.cuts = [self._cut(piece) for piece in self.rest]

    def _holds(self, reel: ReelToBuy | StockReel) -> int:
        return _micrometres(reel.length_m - self.reserve_m + FIT_TOLERANCE_M)

    def _cut(self, piece: Piece) -> Cut:
        return Cut(_micrometres(piece.length_m) // self.unit, piece.group)

    def keeps(self, plan: list[GroupedReel]) -> bool:
        """Whether a plan cuts exactly what is wanted, each piece in its group."""
        cuts = sorted(cut for reel in plan for cut in reel.cuts)
        return cuts == sorted(self.cuts) and self.cutting.keeps(without_groups(plan))

    def value(self, plan: list[GroupedReel]) -> PlanValue:
        return self.cutting.value(without_groups(plan))

    def longest_offcut_m(self, plan: list[GroupedReel]) -> float:
        return max((spare(self.cutting, reel) for reel in plan), default=0) * self.unit / MICROMETRES

    def _place_overlong(self, pieces: list[Piece]) -> None:
        """Longer than every reel for sale: on the tightest shelf reel that holds it, or not at all."""
        for piece in sorted(pieces, key=lambda p: (-_micrometres(p.length_m), p.id)):
            length = _micrometres(piece.length_m)
            room = [shelved for shelved in self.shelf if shelved.room >= length]
            if room:
                min(room, key=lambda shelved: shelved.room).first.append(piece)
            else:
                self.uncut.append(piece.id)
                self.short_of_shelf |= any(length <= s.holds for s in self.shelf)

    def _cutting(self) -> CutProblem:
        demand: dict[int, int] = {}
        for length in sorted((_micrometres(p.length_m) // self.unit for p in self.rest), reverse=True):
            demand[length] = demand.get(length, 0) + 1
        rooms = sorted({shelved.room // self.unit for shelved in self.shelf})
        shelf = [ReelKind(room, 0, sum(s.room // self.unit == room for s in self.shelf)) for room in rooms]
        costs = self._costs()
        self.cost_unit = math.gcd(*costs)
        sold = [
            ReelKind(self._holds(size) // self.unit, cost // self.cost_unit)
            for size, cost in zip(self.sizes, costs, strict=True)
        ]
        return CutProblem(demand, (*shelf, *sold))

    def _costs(self) -> list[int]:
        """Each size's cost in whole steps: money where any has a price, else its length."""
        if not self.priced:
            return [_micrometres(size.length_m) for size in self.sizes]
        dearest = max(size.price / size.length_m for size in self.sizes if size.price is not None)
        prices = (size.price or dearest * size.length_m for size in self.sizes)
        return [max(1, round(price * PRICE_STEPS)) for price in prices]

    def answer(self, plan: list[GroupedReel], bound: PlanValue, given_up_m: float) -> CutListPlan:
        alike: dict[Cut, list[Piece]] = {}
        for piece in reversed(self.rest):
            alike.setdefault(self._cut(piece), []).append(piece)
        shelf: dict[int, list[_Shelved]] = {}
        for shelved in reversed(self.shelf):
            shelf.setdefault(shelved.room // self.unit, []).append(shelved)
        cut = [
            self._reel(reel, [alike[cut].pop() for cut in reel.cuts], shelf)
            for reel in sorted(plan, key=lambda r: (r.kind, [(-cut.length, cut.group) for cut in r.cuts]))
        ]
        left = [_planned_reel(s.reel, True, s.first) for group in shelf.values() for s in group if s.first]
        steps = PRICE_STEPS if self.priced else MICROMETRES
        value = self.value(plan)
        proven = bound.cost == value.cost and not self.short_of_shelf
        return CutListPlan(
            status="proven" if proven else "best-found",
            reels=tuple(left + cut),
            priced=self.priced,
            cost=value.cost * self.cost_unit / steps,
            lower_bound=bound.cost * self.cost_unit / steps,
            reels_bound=(bound.reels if bound.cost == value.cost else 0) + len(left),
            bought_m=sum(reel.length_m for reel in cut if not reel.on_shelf),
            needed_m=sum(piece.length_m for reel in left + cut for piece in reel.pieces),
            offcut_given_up_m=max(0.0, given_up_m),
            uncut=tuple(self.uncut),
            assumed=self._assumptions(),
        )

    def _reel(self, reel: GroupedReel, pieces: list[Piece], shelf: dict[int, list[_Shelved]]) -> PlannedReel:
        kind = self.cutting.kinds[reel.kind]
        if kind.limit is None:
            size = self.sizes[reel.kind - len(self.cutting.kinds)]
            return _planned_reel(size, False, pieces)
        shelved = shelf[kind.length].pop()
        return _planned_reel(shelved.reel, True, shelved.first + pieces)

    def _assumptions(self) -> tuple[str, ...]:
        unpriced = [number_text(size.length_m) for size in self.sizes if size.price is None]
        if not self.priced or not unpriced:
            return ()
        sizes = ", ".join(unpriced)
        return (f"no price is given for reels of {sizes} m: counted at the dearest price per metre known",)


def _sizes(reels: Iterable[ReelToBuy]) -> list[ReelToBuy]:
    """Shortest first; of one length only the cheapest, a known price before none."""
    best: dict[int, ReelToBuy] = {}
    for reel in reels:
        length = _micrometres(reel.length_m)
        known = best.get(length)
        if known is None or (reel.price or math.inf) < (known.price or math.inf):
            best[length] = reel
    return [best[length] for length in sorted(best)]


def _planned_reel(reel: ReelToBuy | StockReel, on_shelf: bool, pieces: list[Piece]) -> PlannedReel:
    return PlannedReel(
        length_m=reel.length_m,
        on_shelf=on_shelf,
        name=reel.name if isinstance(reel, StockReel) else "",
        price=reel.price if isinstance(reel, ReelToBuy) else None,
        pieces=tuple(pieces),
        offcut_m=max(0.0, reel.length_m - math.fsum(piece.length_m for piece in pieces)),
    )
