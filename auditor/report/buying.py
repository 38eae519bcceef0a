"""What is to be bought, counted up over jobs or taken from pooled cut lists."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from auditor.report.cable_names import CableKind, cable_kind, cable_names
from auditor.report.page.look import finite
from auditor.results.audit_result import CutListResult
from auditor.results.job_summary import JobSummary


@dataclass(slots=True)
class Buying:
    """Sums over jobs, of each kind of cable apart. Lengths in metres."""

    reels: Counter[tuple[CableKind, bool, float]] = field(default_factory=Counter)  # from the shelf, length
    needed_m: Counter[CableKind] = field(default_factory=Counter)
    cost: dict[CableKind, float] = field(default_factory=dict)  # only of cables with prices
    uncut: Counter[CableKind] = field(default_factory=Counter)  # pulls too long for every reel
    unmeasured: Counter[CableKind] = field(default_factory=Counter)  # pulls without a length
    unlisted_pulls: int = 0  # of cable that has no cut list
    unlisted_without_length: int = 0  # of these
    spelled: dict[CableKind, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    scheduled: int | None = None  # controllers; None where no job says
    needed: int | None = None
    unknown: int = 0  # jobs whose need of controllers is not known

    def add(self, job: JobSummary) -> None:
        """Add all that a job buys."""
        self.add_cut_lists(job.cut_lists)
        self.unlisted_pulls += job.unlisted_pulls
        self.unlisted_without_length += job.unlisted_without_length
        controllers = job.controllers
        if controllers is None:
            return
        self.scheduled = (self.scheduled or 0) + controllers.scheduled
        if controllers.needed is None:
            self.unknown += 1
        else:
            self.needed = (self.needed or 0) + controllers.needed

    def add_cut_lists(self, cut_lists: Iterable[CutListResult]) -> None:
        for cut_list in cut_lists:
            cable = cable_kind(cut_list)
            self.spelled[cable][cut_list.cable] += 1
            self.needed_m[cable] += finite(cut_list.needed_m) or 0.0  # type: ignore[assignment]
            if cut_list.cost is not None:
                self.cost[cable] = self.cost.get(cable, 0.0) + cut_list.cost
            if cut_list.uncut:
                self.uncut[cable] += len(cut_list.uncut)
            self.unmeasured[cable] += len(cut_list.unmeasured)
            for reel in cut_list.reels:
                self.reels[cable, reel.on_shelf, round(reel.length_m, 6)] += 1

    @property
    def cables(self) -> dict[CableKind, str]:
        """Each kind of cable with its name, in the order of the names."""
        return dict(sorted(cable_names(self.spelled).items(), key=lambda item: item[1]))

    def reels_of(self, cable: CableKind, *, on_shelf: bool) -> list[tuple[float, int]]:
        """Length [m] and count of each size, longest first."""
        own = [
            (length, count)
            for (name, shelf, length), count in self.reels.items()
            if (name, shelf) == (cable, on_shelf)
        ]
        return sorted(own, reverse=True)

    def bought(self, cable: CableKind) -> tuple[int, float]:
        """How many reels, and their length together [m]."""
        sizes = self.reels_of(cable, on_shelf=False)
        return sum(count for _, count in sizes), sum(length * count for length, count in sizes)


def reels_bought(cut_list: CutListResult) -> list[tuple[float, int]]:
    """Length [m] and count of each size that one cut list buys, longest first."""
    buying = Buying()
    buying.add_cut_lists([cut_list])
    return buying.reels_of(cable_kind(cut_list), on_shelf=False)
