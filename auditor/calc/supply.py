"""A supply's budget, its start, and the limits of a power-limited circuit.

Nothing here judges an installation: whether a supply is listed as power-limited, and what its
circuit may share a box or a raceway with, is for its nameplate, the local code and a licensed
practitioner.
"""

import csv
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HEADROOM = 0.25  # common practice: a trade lesson sizes for 1.25 times the load (3.1 A x 1.25 = 3.875 A)


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What is asked of a supply and what it has."""

    drawn_w: float  # source volts times current: loads and what is lost in the cable
    supply_w: float
    spare_w: float  # below zero: it is asked for more than it has
    used: float  # drawn / supply
    advised_w: float  # the size that leaves the headroom


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerLimit:
    """What the nameplate of a Class 2 power source may say."""

    power_va: float
    current_a: float
    source: str


def budget(drawn_w: float, supply_w: float, headroom: float = HEADROOM) -> Budget:
    """A supply's budget.

    Parameters
    ----------
    drawn_w : source volts times current: what devices draw and the cable loses [W], >= 0
    supply_w : what the supply gives [W], > 0
    headroom : fraction on top of what is drawn, >= 0

    Raises
    ------
    ValueError : a supply without power, or a negative or unknown draw
    """
    if not 0 < supply_w < math.inf:
        raise ValueError(f"a supply of {supply_w:g} W feeds nothing; its power must be above zero")
    if not 0 <= drawn_w < math.inf or headroom < 0:
        raise ValueError(f"{drawn_w:g} W with {headroom:g} on top is no draw of a supply")
    return Budget(
        drawn_w=drawn_w,
        supply_w=supply_w,
        spare_w=supply_w - drawn_w,
        used=drawn_w / supply_w,
        advised_w=drawn_w * (1 + headroom),
    )


def class_2_limit(voltage_v: float, *, dc: bool = True) -> PowerLimit | None:
    """The most that a Class 2 power source may have on its nameplate at a voltage.

    Parameters
    ----------
    voltage_v : greatest voltage of the source [V], > 0

    Returns
    -------
    None: no row of the table reaches this voltage

    Source
    ------
    NFPA 70 (NEC) chapter 9, tables 11(A) (ac) and 11(B) (dc), inherently limited sources; each row's
    own source stands in `tables/power_limited_sources.csv`. Much of table 11(B) is from memory.
    """
    for row in _limit_rows():
        if row["kind"] == ("dc" if dc else "ac") and float(row["over_v"]) < voltage_v <= float(
            row["up_to_v"]
        ):
            per_v, times_v = row["nameplate_va_per_v"], row["nameplate_a_times_v"]
            return PowerLimit(
                power_va=float(per_v) * voltage_v if per_v else float(row["nameplate_va"]),
                current_a=float(times_v) / voltage_v if times_v else float(row["nameplate_a"]),
                source=row["source"],
            )
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageLimit:
    """What a Class 2 circuit may have where wet contact is likely."""

    voltage_v: float
    of: str  # of what kind of supply
    source: str


def wet_contact_limits() -> tuple[VoltageLimit, ...]:
    """The voltages of direct current that the notes to the table of Class 2 sources allow where wet contact is
    likely, the usual case first.

    Source
    ------
    NFPA 70 (NEC) chapter 9, notes to tables 11(A) and 11(B): 30 V of continuous dc as a pocket guide to the
    2005 code quotes them; 24.8 V peak of dc that is interrupted at 10 to 200 Hz is from memory.
    """
    return (
        VoltageLimit(
            voltage_v=30.0,
            of="of continuous dc",
            source="NEC chapter 9, notes to tables 11(A) and 11(B), a secondary source",
        ),
        VoltageLimit(
            voltage_v=24.8,
            of="peak of dc that is interrupted at 10 to 200 Hz",
            source="the same notes, from memory",
        ),
    )


def start_s(capacitance_f: float, source_v: float, limit_a: float, load_a: float = 0.0) -> float:
    """Time in which a supply that limits its current charges all hold-up capacitors together.

    Parameters
    ----------
    capacitance_f : of all devices [F]
    limit_a : the supply's current limit [A]
    load_a : drawn meanwhile by what has started already [A]

    Returns
    -------
    seconds; infinity: the load alone takes all that the supply gives, the bus does not come up

    Source
    ------
    C V = I t. It leaves out the cable, which makes it longer.
    """
    return capacitance_f * source_v / (limit_a - load_a) if limit_a > load_a else math.inf


@cache
def _limit_rows() -> tuple[dict[str, str], ...]:
    path = Path(__file__).parent / "tables" / "power_limited_sources.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))
