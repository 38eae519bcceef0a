"""Which ports of a controller there can be, by how its ports are counted."""

from collections.abc import Sequence

LETTERS = "ABCDEFGH"  # by which ports are counted; `X` and `Y` are names


def places(ports: Sequence[str]) -> list[int]:
    """The place of each port on its controller, from 0; 0 for each where they are not all numbers or the first letters."""
    if all(port.isdecimal() for port in ports):
        return [int(port) - 1 for port in ports]
    if all(len(port) == 1 and port.upper() in LETTERS for port in ports):
        return [LETTERS.index(port.upper()) for port in ports]
    return [0] * len(ports)


def counted(like: Sequence[str], count: int) -> list[str]:
    """The first ports of a controller, lettered where all of some ports are, else numbered."""
    lettered = bool(like) and all(len(port) == 1 and port.upper() in LETTERS for port in like)
    return list(LETTERS[:count]) if lettered else [str(number) for number in range(1, count + 1)]


def beyond(ports: Sequence[str], count: int) -> list[bool]:
    """Which of a controller's ports it cannot have, as it has so many."""
    return [not 0 <= place < count for place in places(ports)]
