"""Names in a sentence: the first of them, and that there are more."""

from collections.abc import Sequence


def names_text(names: Sequence[str], most: int, *, rest: str | None = None, between: str = ", ") -> str:
    """The first names and how many more there are, `K1, K2 and 3 more`.

    Parameters
    ----------
    most : names that are given
    rest : what stands for the others in place of their number, such as `others`
    """
    first = between.join(names[:most])
    return f"{first} and {rest or f'{len(names) - most:,} more'}" if len(names) > most else first
