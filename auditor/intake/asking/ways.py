"""Ways in which a table may list pulls: its columns as ends, ports and lengths, the likeliest first."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from auditor.intake.names.chains import names_in_chain
from auditor.intake.names.ends import is_controller
from auditor.intake.names.ports import port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.ends import tie_of
from auditor.intake.roles.evidence import by_words, share
from auditor.intake.roles.given import Given
from auditor.intake.roles.profiles import ColumnProfile, is_ditto
from auditor.intake.words import said
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

# What speaks for a way and against it; project conventions, tuned on invented offices.
LISTED, SAID, OTHERWISE = 0.8, 1.0, 0.8
CLOSE = 0.35  # a second length so near to the first is offered too
LEAST_FAR, MOST_FAR = 0.5, 6  # columns that are tried as what the pulls lead to
MOST_PANELS = 2  # columns that are offered as the controllers of ports
FEW_LENGTHS = 3  # so few values in many rows are no lengths
MOST_OF_PORTS = 12  # of a controller, in a column of its own
MOST_CHAINS = 0.8  # share of the cells of a column of chains that name several ends, at least
FEW_PORTS = 0.7  # share of the cells of a column of ports that are the first of their value, at most
_AGAINST_ENDS = frozenset(
    {
        "room", "description", "type", "cable", "note", "floor", "system", "status", "near_place", "far_place", "scope",
        "drum", "revision", "core", "symbol", "power_w", "length_m", "quantity", "id", "date",
    }
)  # fmt: skip

Columns = Mapping[int, ColumnProfile]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to read a table, and how much speaks for it."""

    given: Given
    score: float


def ways_of_pulls(columns: Columns, others: frozenset[str]) -> list[Way]:
    """The ways, the likeliest first.

    Parameters
    ----------
    others : names that stand once each in a column of another table: what may be tags
    """
    found: list[Way] = []
    for ends, score in _all_ends(columns, others):
        lengths = _lengths({c: p for c, p in columns.items() if c not in ends.values()})
        best = lengths[0][1] if lengths else 0.0
        for number, (column, own) in enumerate(lengths[:2]):
            if number == 0 or best - own < CLOSE:
                roles = {**ends, "length_m": column}
                found.append(Way(Given(kind=TableKind.PULLS, columns=roles), score + own - 0.1 * number))
        if not lengths:
            found.append(Way(Given(kind=TableKind.PULLS, columns=ends), score - 0.5))
    return sorted(found, key=lambda way: -way.score)


def _all_ends(columns: Columns, others: frozenset[str]) -> Iterator[tuple[dict[str, int], float]]:
    named = {c: p for c, p in columns.items() if _may_be_names(p)}
    far = {c: _as_far(p, others) for c, p in named.items()}
    likely = sorted((c for c in far if far[c] > LEAST_FAR), key=lambda c: (-far[c], c))[:MOST_FAR]
    for a, b in ((a, b) for a in named for b in likely if a != b):
        near = _as_near(named[a], named[b], others)
        if near is not None:
            yield _completed({"near": a, "far": b}, columns), far[b] + near - 0.01 * abs(a - b)
    yield from _places_on_ports(columns, far, others)
    for column, profile in named.items():
        listed = _as_chain(profile, others)
        if listed is not None:
            yield {"chain": column}, 1.5 + listed
    for column, profile in columns.items():
        if profile.is_levels and far:
            best = max(far, key=lambda c: (far[c], -c))
            yield {"level": column, "far": best}, 2.0 + far[best]


def _as_chain(column: ColumnProfile, others: frozenset[str]) -> float | None:
    """Which part of the names in a column of chains stands in another table; None: it holds none."""
    chains = [names for text in column.texts if (names := names_in_chain(text))]
    several = sum(len(names) > 1 for names in chains)
    if column.distinct < 0.8 or column.quantities > 0.2 or not several or several < MOST_CHAINS * len(chains):
        return None
    keys = frozenset(spelling(name) for names in chains for name in names)
    return 2.0 * share(keys, others) + 0.5 * column.is_chain


def _may_be_names(column: ColumnProfile) -> bool:
    measured = column.unit is not None and column.quantities > 0.5  # `diretta a` names no amperes
    return column.names > 0.7 and bool(column.keys) and not column.is_units and not measured


def _as_far(column: ColumnProfile, others: frozenset[str]) -> float:
    """How likely a column names what each pull leads to: a name of its own in each row, listed elsewhere."""
    numbers = column.quantities > 0.9 and not share(column.keys, others)
    return (
        column.distinct
        + (0.3 if column.distinct == 1.0 else 0.0)
        + 0.5 * column.with_digits
        + LISTED * share(column.keys, others)
        + SAID * _says(column, "far", "tag")
        - OTHERWISE * _says_other(column)
        - (1.0 if column.is_counter else 0.0)
        - (0.8 if numbers and column.numbers else 0.4 if numbers else 0.0)
        - (0.3 if all(map(spelled, column.texts)) and column.distinct < 1.0 else 0.0)
    )


def _as_near(near: ColumnProfile, far: ColumnProfile, others: frozenset[str]) -> float | None:
    """How likely a column names what the pulls to another column come from; None: it cannot."""
    rows = [(a, b) for a, b in zip(near.values, far.values, strict=True) if a != "" and b != ""]
    if not rows or sum(a == b for a, b in rows) * 4 > len(rows):
        return None
    shared = share(near.keys, far.keys)
    if near.quantities > 0.9 and not shared:
        return None
    first = near.texts - far.texts
    ports = sum(bool(spelled(text)) or is_controller(text) for text in first) / len(first) if first else 0.0
    return (
        0.8 * tie_of(near, far, others)
        + 0.8 * shared
        + 0.8 * ports
        + SAID * _says(near, "near", "port", "controller")
        - OTHERWISE * _says_other(near)
        - (0.8 if near.is_counter or (near.quantities > 0.9 and shared < 0.5) else 0.0)
        + (0.5 if len(first) < len(far.texts - near.texts) else 0.0)
        - (0.4 if near.distinct == 1.0 else 0.0)
        - (0.3 if near.with_digits < 0.5 else 0.0)
    )


def _says(column: ColumnProfile, *names: str) -> float:
    strengths = said(column.header) if column.header else {}
    exact = by_words("pulls", column)
    return max(max(strengths.get(name, 0.0), exact.get(name, (0.0, ""))[0]) for name in names)


def _says_other(column: ColumnProfile) -> float:
    strengths = said(column.header) if column.header else {}
    return max((strength for name, strength in strengths.items() if name in _AGAINST_ENDS), default=0.0)


def _completed(ends: dict[str, int], columns: Columns) -> dict[str, int]:
    """The ends with the column of the ports, where what feeds first is a controller and no port."""
    near, far = columns[ends["near"]], columns[ends["far"]]
    first = near.texts - far.texts
    if (
        first
        and sum(bool(spelled(text)) for text in first) * 2 > len(first)
        and not _names_alone(near, far, columns)
    ):
        return ends
    port = _port_column(ends, columns)
    if port is None:
        return ends
    if first:
        return {**ends, "near_terminal": port}
    panel = columns.get(port - 1)
    named = panel is not None and panel not in (near, far) and _comes_again(panel)
    return {**ends, "port": port, **({"controller": port - 1} if named else {})}


def _names_alone(near: ColumnProfile, far: ColumnProfile, columns: Columns) -> bool:
    """Whether what feeds first stands in another column too, as a controller's name does."""
    first = frozenset(text for text in near.texts if text not in far.texts)
    return any(p is not near and p is not far and p.texts and p.texts <= first for p in columns.values())


def _port_column(ends: Mapping[str, int], columns: Columns) -> int | None:
    """The column of ports alone, `A`, `P1`: few that come again; the nearest to what feeds."""
    found = [
        c
        for c, p in columns.items()
        if c not in ends.values()
        and _comes_again(p)
        and all(map(_is_port, _said_once(p)))
        and p.unit is None
        and not _says_other(p) > 0.6
    ]
    return min(found, key=lambda c: (abs(c - ends["near"]), c), default=None)


def _is_port(text: str) -> bool:
    """Whether a text names a port alone, and not cable of 16 mm²: `BUS-16`."""
    found = port_alone(text)
    return found is not None and not (found.port.isdigit() and int(found.port) > MOST_OF_PORTS)


def _places_on_ports(
    columns: Columns, far: Mapping[int, float], others: frozenset[str]
) -> Iterator[tuple[dict[str, int], float]]:
    """Ports, and the devices of each in the order of their numbers."""
    counted = [c for c, p in columns.items() if p.restarts or (p.is_counter and p.counts_rows)]
    ports = [
        c
        for c, p in columns.items()
        if _comes_again(p) and all(spelled(text) or port_alone(text) for text in _said_once(p))
    ]
    for sequence in counted:
        for port in (c for c in ports if c != sequence):
            for tag in (c for c in far if c not in (sequence, port) and far[c] > 1.0):
                roles = {"port": port, "sequence": sequence, "far": tag}
                alone = all(map(port_alone, _said_once(columns[port])))
                panels = _panels(columns, (sequence, port, tag), others)[:MOST_PANELS] if alone else []
                plain = 0.5 if columns[sequence].restarts else 0.0
                for number, panel in enumerate(panels):
                    yield {**roles, "controller": panel}, far[tag] + 1.0 + plain - 0.1 * number
                if not panels:
                    yield roles, far[tag] + 1.0 + plain - 0.3 * alone


def _panels(columns: Columns, taken: tuple[int, int, int], others: frozenset[str]) -> list[int]:
    """The columns that may hold the controllers of ports: by their names, listed elsewhere, or the one before."""
    may_be = [c for c, p in columns.items() if c not in taken and _comes_again(p) and p.quantities < 0.5]
    listed = [c for c in may_be if frozenset(map(spelling, _said_once(columns[c]))) <= others]
    named = [c for c in may_be if all(map(is_controller, _said_once(columns[c])))]
    before = [c for c in may_be if c == taken[1] - 1]
    return list(dict.fromkeys((*named, *listed, *before)))


def _said_once(column: ColumnProfile) -> list[str]:
    """The distinct texts of a column without marks that say «as above»."""
    return [text for text in column.texts if not is_ditto(text)]


def _comes_again(column: ColumnProfile) -> bool:
    """Whether a few names stand in many rows, some of them by a mark or a blank below."""
    texts = _said_once(column)
    return bool(texts) and column.names > 0.8 and len(texts) <= FEW_PORTS * len(column.values)


def _lengths(columns: Columns) -> list[tuple[int, float]]:
    """(column, how likely it holds the lengths), the likeliest first."""
    return ranked(columns, _as_length)


def ranked(columns: Columns, score_of: Callable[[ColumnProfile], float]) -> list[tuple[int, float]]:
    """(column of quantities, its score), the highest first; none that has no positive one."""
    found = [(c, score_of(p)) for c, p in columns.items() if p.quantities > 0.5 and not p.is_units]
    return sorted(((c, score) for c, score in found if score > 0.0), key=lambda one: (-one[1], one[0]))


def said_otherwise(column: ColumnProfile, role: str) -> float:
    """How strongly a heading speaks for anything but a role, or one of its kind, and a unit."""
    strengths = said(column.header) if column.header else {}
    others = (s for name, s in strengths.items() if not name.endswith(role) and name != "unit")
    return max(others, default=0.0)


def _as_length(column: ColumnProfile) -> float:
    if column.unit is not None and column.unit not in LENGTH_M:
        return -1.0
    few = len(column.texts) <= FEW_LENGTHS and len(column.filled) > FEW_LENGTHS + 1
    return (
        0.3
        + (0.8 if column.unit in LENGTH_M else 0.0)
        + 0.8 * _says(column, "length_m", "distance_m")
        - 0.6 * said_otherwise(column, "_m")
        - (0.5 if few else 0.0)
        - (0.8 if column.is_counter or column.restarts else 0.0)
        + (0.2 if column.numbers and max(column.numbers) > 10 else 0.0)
    )
