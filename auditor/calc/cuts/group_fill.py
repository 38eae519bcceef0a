"""One reel filled with as few groups in parts as possible, by subset sums.

A group that is on a reel as a whole stands in one (reel, group) pair; each that is there in part needs another
reel. As in `fill`, a set of sums is one Python integer, one such set for each number of parts.
"""

from collections.abc import Mapping, Sequence

from auditor.calc.cuts.grouped import Cut

BITS = 13  # finer lengths than 1/2^13 of a reel are rounded up inside a subset sum


class GroupFill:
    """The sums that groups, whole or in part, can make on one reel.

    Parameters
    ----------
    room : what the reel holds
    groups : group -> its lengths
    most_parts : so many groups at most may be on the reel in part
    """

    def __init__(self, room: int, groups: Mapping[str, Sequence[int]], most_parts: int) -> None:
        self.shift = max(0, room.bit_length() - BITS)
        self.mask = (1 << ((room >> self.shift) + 1)) - 1
        self.steps: list[tuple[str, Sequence[int], list[int]]] = []
        self.sums = [1] * (most_parts + 1)  # with so many parts or fewer
        for group, lengths in groups.items():
            self.steps.append((group, lengths, self.sums))
            self.sums = self._with_group(lengths)

    def _size(self, length: int) -> int:
        return -(-length >> self.shift)

    def _with_group(self, lengths: Sequence[int]) -> list[int]:
        whole = sum(map(self._size, lengths))
        sums = [before | (before << whole) & self.mask for before in self.sums]
        if len(lengths) > 1:
            for parts, before in enumerate(self.sums[:-1]):
                sums[parts + 1] |= self._in_part(before, lengths)[-1]
        return sums

    def _in_part(self, sums: int, lengths: Sequence[int]) -> list[int]:
        """The sums with the first of these lengths, with the first two, and so on."""
        found = [sums]
        for length in lengths:
            found.append(found[-1] | (found[-1] << self._size(length)) & self.mask)
        return found

    def most(self, parts: int) -> int:
        """No set of pieces with so many groups in part fills more."""
        return (self.sums[parts].bit_length() - 1) << self.shift

    def fullest(self, parts: int) -> tuple[Cut, ...]:
        """The pieces that fill the reel best with so many groups in part, or fewer."""
        at = self.sums[parts].bit_length() - 1
        cuts: list[Cut] = []
        for group, lengths, before in reversed(self.steps):
            whole = sum(map(self._size, lengths))
            if before[parts] >> at & 1:
                continue
            if at >= whole and before[parts] >> (at - whole) & 1:
                taken = list(lengths)
            else:
                parts -= 1
                taken = self._taken(before[parts], lengths, at)
            at -= sum(map(self._size, taken))
            cuts += [Cut(length, group) for length in taken]
        return tuple(cuts)

    def _taken(self, sums: int, lengths: Sequence[int], at: int) -> list[int]:
        """Some of these lengths that make up a sum together with one of `sums`."""
        reach, taken = self._in_part(sums, lengths), []
        for before, length in reversed(list(zip(reach, lengths, strict=False))):
            if not before >> at & 1:
                taken.append(length)
                at -= self._size(length)
        return taken
