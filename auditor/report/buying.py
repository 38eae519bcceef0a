"""What is to be bought, counted up over jobs or taken from pooled cut lists."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from auditor.findings import Audit, CutListResult
from auditor.report.look import finite


@dataclass(slots=True)
class Buying:
    """Sums over jobs. Lengths in metres."""

    reels: Counter[tuple[str, bool, float]] = field(default_factory=Counter)  # cable, from the shelf, length
    needed_m: Counter[str] = field(default_factory=Counter)
    cost: dict[str, float] = field(default_factory=dict)  # only of cables with prices
    uncut: Counter[str] = field(default_factory=Counter)
    scheduled: int | None = None  # controllers; None where no job says
    needed: int | None = None
    unknown: int = 0  # jobs whose need of controllers is not known

    def add(self, audit: Audit) -> None:
        self.add_cut_lists(audit.cut_lists)
        controllers = audit.controllers
        if controllers is None:
            return
        self.scheduled = (self.scheduled or 0) + controllers.scheduled
        if controllers.needed is None:
            self.unknown += 1
        else:
            self.needed = (self.needed or 0) + controllers.needed

    def add_cut_lists(self, cut_lists: Iterable[CutListResult]) -> None:
        for cut_list in cut_lists:
            cable = cut_list.cable
            self.needed_m[cable] += finite(cut_list.needed_m) or 0.0  # type: ignore[assignment]
            if cut_list.cost is not None:
                self.cost[cable] = self.cost.get(cable, 0.0) + cut_list.cost
            if cut_list.uncut:
                self.uncut[cable] += len(cut_list.uncut)
            for reel in cut_list.reels:
                self.reels[cable, reel.on_shelf, round(reel.length_m, 6)] += 1

    @property
    def cables(self) -> list[str]:
        return sorted(self.needed_m)

    def reels_of(self, cable: str, *, on_shelf: bool) -> list[tuple[float, int]]:
        """Length [m] and count of each size, longest first."""
        own = [
            (length, count)
            for (name, shelf, length), count in self.reels.items()
            if (name, shelf) == (cable, on_shelf)
        ]
        return sorted(own, reverse=True)

    def bought_m(self, cable: str) -> float:
        return sum(length * count for length, count in self.reels_of(cable, on_shelf=False))
