"""Dice that fall on what is usual more or less often: some offices keep to custom, some to nothing."""

from collections.abc import Sequence
from random import Random
from typing import Any

USUAL = {
    "nothing usual": (0.0, 5),
    "half as usual": (0.5, 3),
    "mostly as usual": (0.85, 3),
}  # name -> (how far, weight)


class Dice(Random):
    """Chooses the first of what it is given, the usual one, as often as it is told; else any."""

    usual = 0.0

    def choice(self, seq: Sequence[Any]) -> Any:
        return seq[0] if self.random() < self.usual else super().choice(seq)

    def choices(self, population: Sequence[Any], *rest: Any, **more: Any) -> list[Any]:
        return [population[0]] if self.random() < self.usual else super().choices(population, *rest, **more)

    def seldom(self, share: float) -> bool:
        """Whether a habit of this share is there."""
        return self.random() < share * (1 - self.usual)


def dice(seed: object, usual: float) -> Dice:
    made = Dice(str(seed))
    made.usual = usual
    return made
