"""Ways in which a table may list the devices that the pulls end at: its columns as tags and powers, the likeliest
first."""

import re
from collections.abc import Mapping

from auditor.intake.asking.ways import Way, ranked, said_otherwise
from auditor.intake.roles.evidence import by_words, share
from auditor.intake.roles.given import Given
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD
from auditor.job.model import TableKind

LEAST_NAMED = 0.2  # share of a column's names that pulls end at, at least; project convention
LEAST_KINDS = 0.3  # share of a legend's names that are kinds of the devices, at least; project convention
CLOSE = 0.4  # a second column of powers so near to the first is offered too
MOST_W = 500.0  # numbers above are no powers of devices on a bus; project convention
WATTS = UNITS_OF_FIELD["power_w"]
_ZEROS = re.compile(r"(?<!\d)0+(?=\d)")


def ways_of_devices(columns: Mapping[int, ColumnProfile], ends: frozenset[str]) -> list[Way]:
    """The ways, the likeliest first.

    Parameters
    ----------
    ends : of the pulls, without their spelling
    """
    known = frozenset(map(_bare, ends))
    found: list[Way] = []
    for tag, profile in columns.items():
        named = share(frozenset(map(_bare, profile.keys)), known)
        if named < LEAST_NAMED or profile.distinct < 0.9:
            continue
        powers = ranked({c: p for c, p in columns.items() if c != tag}, as_power)
        best = powers[0][1] if powers else 0.0
        for number, (column, score) in enumerate(powers[:2]):
            if number == 0 or best - score < CLOSE:
                given = Given(kind=TableKind.DEVICES, columns={"tag": tag, "power_w": column})
                found.append(Way(given, 2.0 * named + score - 0.1 * number))
        if best < 1.0:
            found.append(Way(Given(kind=TableKind.DEVICES, columns={"tag": tag}), 2.0 * named + 0.3))
    return sorted(found, key=lambda way: -way.score)


def ways_of_powers(columns: Mapping[int, ColumnProfile], kinds: frozenset[str]) -> list[Way]:
    """Ways in which a table may say what each kind of device draws, the likeliest first.

    Parameters
    ----------
    kinds : of the devices, without their spelling
    """
    found: list[Way] = []
    for key, profile in columns.items():
        named = share(profile.keys, kinds)
        if named < LEAST_KINDS or profile.distinct < 1.0 or profile.quantities > 0.5:
            continue
        for column, score in ranked({c: p for c, p in columns.items() if c != key}, as_power)[:2]:
            given = Given(kind=TableKind.LEGEND, columns={"type": key, "power_w": column})
            found.append(Way(given, 2.0 * named + score))
    return sorted(found, key=lambda way: -way.score)


def as_power(column: ColumnProfile) -> float:
    """How likely a column holds powers or currents."""
    if column.unit is not None and column.unit not in WATTS:
        return -1.0
    worded = max(by_words("devices", column).get(name, (0.0, ""))[0] for name in ("power_w", "total_power_w"))
    whole = bool(column.numbers) and all(number.is_integer() for number in column.numbers)
    large = bool(column.numbers) and max(column.numbers) > MOST_W
    return (
        0.3
        + (1.0 if column.unit in WATTS else 0.0)
        + 0.8 * worded
        - 0.6 * said_otherwise(column, "power_w")
        - (0.8 if column.is_counter or column.restarts else 0.0)
        - (0.2 if whole or large else 0.0)
        + (0.3 if column.numbers and not whole else 0.0)
    )


def _bare(key: str) -> str:
    return _ZEROS.sub("", key)
