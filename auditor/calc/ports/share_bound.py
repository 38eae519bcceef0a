"""A lower bound on bin packing, in exact whole numbers: what no port plan can beat."""

from collections.abc import Sequence


def share_bound(sizes: Sequence[int], capacity: int) -> int:
    """Least number of bins of one capacity that hold all sizes, however they are packed.

    Parameters
    ----------
    sizes : whole numbers, 0 <= size <= capacity
    capacity : > 0

    Source
    ------
    Bound L2 of S. Martello and P. Toth, Knapsack Problems, Wiley 1990, chapter 8 (from memory): for
    every a <= capacity / 2, sizes over capacity - a are alone with what is smaller than a; those over half
    are at least a bin each; what the rest, down to a, needs beyond their room is shared out by length.
    """
    best = -(-sum(sizes) // capacity)
    half = capacity / 2
    for least in sorted({size for size in sizes if size <= half} | {0}):
        alone = sum(size > capacity - least for size in sizes)
        big = [size for size in sizes if half < size <= capacity - least]
        room = len(big) * capacity - sum(big)
        rest = sum(size for size in sizes if least <= size <= half)
        best = max(best, alone + len(big) + max(0, -(-(rest - room) // capacity)))
    return best
