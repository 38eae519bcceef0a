"""How much alike two names are spelt, and which name a slip may have meant."""

from collections.abc import Collection, Sequence

ALIKE = 60.0  # project convention: similarity in per cent from which a name is suggested
PREFERRED = 12.0  # what a preferred name has more, in per cent; project convention


def nearest(name: str, names: Sequence[str], preferred: Collection[str] = ()) -> str | None:
    """The name that `name` is most likely a slip of; of those that are near a preferred one goes first. None: none is."""
    alike = {other: likeness(name, other) for other in names}
    near = [
        (each + PREFERRED * (other in preferred), other) for other, each in alike.items() if each >= ALIKE
    ]
    return max(near, key=lambda item: item[0])[1] if near else None


def likeness(one: str, other: str) -> float:
    """How much alike two names are spelt [per cent]; a swap of neighbours is one slip."""
    from rapidfuzz.distance import OSA

    return 100 * float(OSA.normalized_similarity(one.casefold(), other.casefold()))


def is_slip(one: str, other: str) -> bool:
    """Whether two names are one slip of the pen apart, or much alike."""
    from rapidfuzz.distance import OSA

    return OSA.distance(one.casefold(), other.casefold()) <= 1 or likeness(one, other) >= ALIKE
