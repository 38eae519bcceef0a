"""Published instances of one-dimensional cutting, in `published_instances.csv`.

From a public collection under CC0, figures only: Falkenauer, J. Heuristics 2 (1996), 5-30, scaled by ten where lengths have
a decimal (the t-sets are built with a known optimum of n/3); Waescher and Gau, OR Spektrum 18 (1996), 131-144; Schwerin
and Waescher, Int. Trans. Opl. Res. 4 (1997), 377-389; Scholl, Klein and Juergens, Computers and Operations Research 24
(1997), 627-645; Schoenfield's hard28, as used by Belov and Scheithauer. `best_known` is the number of bins that the
collection prints; blank where it prints none.
"""

import csv
from dataclasses import dataclass
from pathlib import Path

from auditor.calc.cuts.plan import CutListPlan, Piece, ReelToBuy, cut_list


@dataclass(frozen=True, slots=True)
class Instance:
    origin: str
    name: str
    capacity: int
    best_known: int | None  # bins
    lengths: tuple[int, ...]

    def plan(self, seconds: float) -> CutListPlan:
        pieces = [Piece(id=f"P{n}", length_m=float(length)) for n, length in enumerate(self.lengths)]
        return cut_list(pieces, [ReelToBuy(length_m=float(self.capacity))], time_limit_s=seconds)

    def bins(self, metres: float) -> float:
        return metres / self.capacity


def instances() -> list[Instance]:
    path = Path(__file__).parent / "published_instances.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return [_instance(row) for row in csv.DictReader(file)]


def _instance(row: dict[str, str]) -> Instance:
    scale = 10 if "." in row["items"] else 1
    items = [item.split("x") for item in row["items"].split()]
    return Instance(
        origin=row["set"],
        name=row["name"],
        capacity=scale * int(row["capacity"]),
        best_known=int(row["best_known"]) if row["best_known"] else None,
        lengths=tuple(round(scale * float(length)) for length, count in items for _ in range(int(count))),
    )
