"""Blocks of rows on pages of two panels side by side, read down the left one first."""

from collections.abc import Sequence
from dataclasses import dataclass

PANELS = 2  # of a page
_LEAST = 6  # rows of a block that are worth cutting it
_GAP = 1  # rows between two blocks


@dataclass(frozen=True, slots=True)
class Part:
    """Rows of a block, from `first` to the one before `last`, in a panel from the row `top` on. One that is
    `continued` has a row of its own above them, which repeats what the block is."""

    block: int
    first: int
    last: int
    panel: int
    top: int
    continued: bool = False

    @property
    def below(self) -> int:
        return self.top + self.continued + self.last - self.first


def balanced(sizes: Sequence[int], on_first_page: int, on_page: int) -> list[Part]:
    """The same as `placed`; what fits one page stands in panels as even as can be."""
    for rows in range(max(sizes, default=0), on_first_page):
        parts = placed(sizes, rows, rows)
        if all(part.panel < PANELS and not part.continued for part in parts):
            return parts
    return placed(sizes, on_first_page, on_page)


def placed(sizes: Sequence[int], on_first_page: int, on_page: int) -> list[Part]:
    """Where each block stands. A block that fits a panel is kept whole, unless a third of a panel would
    stay empty.

    Parameters
    ----------
    sizes : rows of each block
    on_first_page, on_page : rows of a panel
    """
    parts: list[Part] = []
    panel, used = 0, 0
    for block, size in enumerate(sizes):
        first = 0
        while first < size:
            room = on_first_page if panel < PANELS else on_page
            top = used + _GAP if used else 0
            free, left, more = room - top, size - first, int(first > 0)
            whole = left + more <= free
            next_room = on_first_page if panel + 1 < PANELS else on_page
            moves = left <= next_room and free <= room // 3
            if not whole and used and (moves or free < _LEAST):
                panel, used = panel + 1, 0
                continue
            last = size if whole else min(first + free - more, max(first + 1, size - _LEAST))
            parts.append(Part(block, first, last, panel, top, bool(more)))
            panel, used = (panel, parts[-1].below) if last == size else (panel + 1, 0)
            first = last
    return parts
