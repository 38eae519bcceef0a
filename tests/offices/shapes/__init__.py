"""Ways to put a bus into tables. Each module lists its shapes in `SHAPES`."""

from collections.abc import Callable
from dataclasses import dataclass, field

from tests.offices.draft import Draft

ALL_FAULTS = frozenset(
    (
        "run-length",
        "reach",
        "device-count",
        "power",
        "loop",
        "unfed",
        "typo",
        "look-alike",
        "off-specification cable",
        "a length missing",
        "a power missing",
    )
)
IN_ORDER = ALL_FAULTS - {
    "loop",
    "unfed",
    "typo",
    "look-alike",
}  # where each device says what feeds it, or stands behind it
MEASURED = ALL_FAULTS - {"a length missing"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    name: str
    write: Callable[[Draft], None]
    forms: tuple[str, ...] = ("tree", "tree", "tree", "chain", "star")
    faults: frozenset[str] = ALL_FAULTS
    splices: bool = True
    lists_devices: bool = False  # the shape has what a device list says
    needs_ports: bool = True  # whether a controller without ports cannot be written so
    needs_headings: bool = False  # whether nothing but a heading says what the lengths are
    plain_lengths: bool = False  # whether lengths are written as numbers of feet or metres only
    weight: int = 2
    tags: frozenset[str] = field(default=frozenset())  # tag styles that it cannot be read with


def shapes() -> list[Shape]:
    from tests.offices.shapes import combined, cores, marks, orders, panels, pull_lists, terminals, trees

    modules = (pull_lists, panels, terminals, combined, orders, trees, cores, marks)
    return [shape for module in modules for shape in module.SHAPES]
