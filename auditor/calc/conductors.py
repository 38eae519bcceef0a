"""DC resistance of one copper conductor: a printed table where a standard prints one, else geometry.

The tables lie beside this module as CSV, each row as printed and with its source. Of table 8 the
ohm/kft column is used throughout: its ohm/km column is rounded separately, and two columns would
give one cable two answers. Only copper; a conductor of aluminium or clad aluminium needs its own
data-sheet resistance.
"""

import csv
import math
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from auditor.units import KFT_PER_KM

LOWEST_DEGC, HIGHEST_DEGC = -40.0, 105.0  # project convention: what a building and its cable see
THICKEST_AWG, THINNEST_AWG = -3, 36  # ASTM B258: No. 0000 and No. 36, the two sizes that define it
COPPER_OHM_MM2_PER_M = 1 / 58  # IEC 60028, annealed copper at 20 degC
COPPER_ALPHA_20 = 0.00393  # IEC 60028, per K
NEC_ALPHA_75 = 0.00323  # NFPA 70 chapter 9 table 8 note 2, copper, per K
SAME_AREA = 0.01  # project convention: within 1 % an area is a standard size
DATA_SHEET_SPREAD = 0.25  # project convention: farther from copper of its size than this is remarkable

NEC_TABLE = "NEC chapter 9 table 8"
IEC_TABLE = "IEC 60228"
GEOMETRY = "ASTM B258 and IEC 60028"
DATA_SHEET = "the cable's data sheet"
_AWG_TEXT = re.compile(r"\s*(?:([1-4])/0|(0{2,4})|(\d{1,2}))\s*AWG\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorResistance:
    """Resistance of one conductor, and where it comes from."""

    ohm_per_km: float  # at the conductor temperature asked for
    table: str
    source: str  # publication, row and temperature correction, for a report
    note: str = ""  # what had to be assumed, a sentence without its full stop; empty: nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One size that can be bought."""

    name: str  # "16 AWG", "1.5 mm2"
    area_mm2: float
    awg: int | None


def area_mm2_from_awg(awg: float) -> float:
    """Area of a solid conductor of an AWG size [mm2].

    Parameters
    ----------
    awg : whole number; 0 is 1/0, -1 is 2/0, -3 is 4/0

    Raises
    ------
    ValueError : no size of the series from 4/0 to 36

    Source
    ------
    ASTM B258: d = 0.127 mm x 92^((36 - n) / 39).
    """
    if awg % 1 or not THICKEST_AWG <= awg <= THINNEST_AWG:
        raise ValueError(
            f"{awg:g} AWG is no wire size; the sizes are whole numbers from 4/0 to {THINNEST_AWG}"
        )
    diameter_mm: float = 0.127 * 92 ** ((36 - awg) / 39)
    return math.pi / 4 * diameter_mm**2


def awg_from_area_mm2(area_mm2: float) -> int | None:
    """The AWG size whose area, by ASTM B258 or as printed in table 8, is within 1 % of this one; None:
    there is none."""
    if not 0 < area_mm2 < math.inf:
        return None
    awg = round(36 - 39 * math.log(math.sqrt(4 * area_mm2 / math.pi) / 0.127, 92))
    if not THICKEST_AWG <= awg <= THINNEST_AWG:
        return None
    printed = next((area for size, area in _nec_areas() if size == awg), area_mm2_from_awg(awg))
    return awg if _same_area(area_mm2, area_mm2_from_awg(awg)) or _same_area(area_mm2, printed) else None


def area_of_gauge(text: str) -> float | None:
    """Area of a gauge as written, e.g. `16 AWG`, `2/0 AWG` [mm2]; None: no such size."""
    gauge = _AWG_TEXT.fullmatch(text)
    if gauge is None:
        return None
    awg = 1 - int(gauge[1]) if gauge[1] else -(len(gauge[2]) - 1) if gauge[2] else int(gauge[3])
    try:
        return area_mm2_from_awg(awg)
    except ValueError:
        return None


def standard_gauges(*, metric: bool = False) -> tuple[Gauge, ...]:
    """Sizes to choose a thicker conductor from, the thinnest first.

    Parameters
    ----------
    metric : the rows of IEC 60228; else the even AWG sizes from 24 to 10 (common practice, no
        published source: odd ones are not stocked)
    """
    if metric:
        areas = sorted({area for area, _, _ in _iec_rows()})
        return tuple(Gauge(name=f"{area:g} mm2", area_mm2=area, awg=None) for area in areas)
    return tuple(
        Gauge(name=f"{awg} AWG", area_mm2=area_mm2_from_awg(awg), awg=awg) for awg in range(24, 9, -2)
    )


def conductor(
    *,
    conductor_degc: float,
    area_mm2: float | None = None,
    awg: float | None = None,
    stranded: bool | None = None,
    coated: bool | None = None,
    iec_class: int | None = None,
    ohm_per_km_20c: float | None = None,
) -> ConductorResistance:
    """Resistance of one copper conductor, from the best source there is for it.

    Its own data sheet before any table; an AWG size from table 8 (18 to 10 AWG); an area of the
    IEC series (0.5 to 4 mm2) from IEC 60228; everything else from its geometry. An area within
    1 % of an AWG size is that size.

    Parameters
    ----------
    conductor_degc : conductor (not ambient) temperature [degC], -40 to 105
    area_mm2, awg : size of the conductor; `awg` stands if both are given
    stranded, coated : None: not known; the higher resistance for `stranded`, plain copper for `coated`
    iec_class : 1, 2 or 5 of IEC 60228; None: 1 for solid, the higher of 2 and 5 for stranded
    ohm_per_km_20c : of one conductor, from the cable's own data sheet [ohm/km at 20 degC]

    Raises
    ------
    ValueError : a size that does not exist, a temperature out of range, a resistance that is not above
        zero, or nothing that says how thick the conductor is; the message is a sentence for the user
    """
    if not LOWEST_DEGC <= conductor_degc <= HIGHEST_DEGC:
        raise ValueError(
            f"a conductor temperature of {conductor_degc:g} degC is outside "
            f"{LOWEST_DEGC:g} to {HIGHEST_DEGC:g} degC, the range that copper cable works in"
        )
    if awg is None and area_mm2 is not None:
        _refuse_area(area_mm2)
        awg = awg_from_area_mm2(area_mm2)
    elif awg is not None:
        area_mm2 = area_mm2_from_awg(awg)
    if ohm_per_km_20c is not None:
        return _from_data_sheet(ohm_per_km_20c, area_mm2, conductor_degc)
    if area_mm2 is None:
        raise ValueError("nothing says how thick the conductor is; give its gauge, its area or its ohm/km")
    size = int(awg) if awg is not None else None
    if size is not None and any(size == row for row, _ in _nec_areas()):
        return _from_nec(size, stranded, coated, conductor_degc)
    nominal = next((area for area, _, _ in _iec_rows() if size is None and _same_area(area_mm2, area)), None)
    if nominal is not None:
        return _from_iec(nominal, stranded, coated, iec_class, conductor_degc)
    return _from_geometry(area_mm2, size, stranded, coated, conductor_degc)


def _from_data_sheet(
    ohm_per_km_20c: float, area_mm2: float | None, conductor_degc: float
) -> ConductorResistance:
    if not (0 < ohm_per_km_20c < math.inf):
        raise ValueError(f"a data-sheet resistance of {ohm_per_km_20c:g} ohm/km is not above zero")
    note = ""
    if area_mm2 is not None:
        copper = 1000 * COPPER_OHM_MM2_PER_M / area_mm2
        if abs(ohm_per_km_20c / copper - 1) > DATA_SHEET_SPREAD:
            note = (
                f"the data sheet's {ohm_per_km_20c:g} ohm/km is far from the {copper:.3g} ohm/km of copper "
                f"of {area_mm2:.3g} mm²; check its unit, and whether it is for one conductor and of copper"
            )
    return ConductorResistance(
        ohm_per_km=ohm_per_km_20c * (1 + COPPER_ALPHA_20 * (conductor_degc - 20)),
        table=DATA_SHEET,
        source=f"{ohm_per_km_20c:g} ohm/km at 20 degC from the cable's data sheet; temperature by IEC 60028",
        note=note,
    )


def _from_nec(
    awg: int, stranded: bool | None, coated: bool | None, conductor_degc: float
) -> ConductorResistance:
    rows = _nec_rows()
    ohm_per_kft = rows[awg, stranded is not False, bool(coated)]  # stranded is the higher in every row
    kind = f"{'solid' if stranded is False else 'stranded'}, {'coated' if coated else 'uncoated'}"
    return ConductorResistance(
        ohm_per_km=ohm_per_kft * KFT_PER_KM * (1 + NEC_ALPHA_75 * (conductor_degc - 75)),
        table=NEC_TABLE,
        source=f"NFPA 70 (NEC) chapter 9 table 8, {awg} AWG {kind}: {ohm_per_kft:g} ohm/kft at 75 degC",
        note=_assumption_text(stranded, coated, "stranded"),
    )


def _from_iec(
    area_mm2: float, stranded: bool | None, coated: bool | None, iec_class: int | None, conductor_degc: float
) -> ConductorResistance:
    if iec_class not in (None, 1, 2, 5):
        raise ValueError(f"class {iec_class} is not one of the classes 1, 2 and 5 of IEC 60228")
    chosen = iec_class or (1 if stranded is False else 5)
    ohm_per_km = _iec_rows()[area_mm2, chosen, bool(coated)]
    note = _assumption_text(False if iec_class else stranded, coated, "flexible (class 5)")
    if iec_class is None and stranded:
        note = "; ".join(filter(None, ("class not given: taken as flexible (class 5)", note)))
    return ConductorResistance(
        ohm_per_km=ohm_per_km * (1 + 0.004 * (conductor_degc - 20)),  # IEC 60228 annex A: k = 250/(230 + t)
        table=IEC_TABLE,
        source=f"IEC 60228, {area_mm2:g} mm2 class {chosen}, {'tinned' if coated else 'plain'}: "
        f"{ohm_per_km:g} ohm/km at 20 degC",
        note=note,
    )


def _from_geometry(
    area_mm2: float, awg: int | None, stranded: bool | None, coated: bool | None, conductor_degc: float
) -> ConductorResistance:
    """Project convention: what stranding and coating add is table 8's ratio at the nearest size in it."""
    rows = _nec_rows()
    nearest = min(_nec_areas(), key=lambda row: abs(math.log(row[1] / area_mm2)))[0]
    added = rows[nearest, stranded is not False, bool(coated)] / rows[nearest, False, False]
    ohm_per_km_20c = 1000 * COPPER_OHM_MM2_PER_M / area_mm2 * added
    note = _assumption_text(stranded, coated, "stranded")
    if awg is None:
        note = "; ".join(filter(None, (f"{area_mm2:.3g} mm² has no row in a table: computed", note)))
    return ConductorResistance(
        ohm_per_km=ohm_per_km_20c * (1 + COPPER_ALPHA_20 * (conductor_degc - 20)),
        table=GEOMETRY,
        source=f"computed from {area_mm2:.4g} mm2 (ASTM B258) and copper of IEC 60028, times {added:.3f} for "
        f"stranding and coating (NEC chapter 9 table 8, {nearest} AWG)",
        note=note,
    )


def _assumption_text(stranded: bool | None, coated: bool | None, taken_as: str) -> str:
    said = []
    if stranded is None:
        said.append(f"stranding not given: taken as {taken_as}, the higher resistance")
    if coated is None:
        said.append("coating not given: taken as plain copper")
    return "; ".join(said)


def _refuse_area(area_mm2: float) -> None:
    thickest, thinnest = area_mm2_from_awg(THICKEST_AWG), area_mm2_from_awg(THINNEST_AWG)
    if not thinnest * (1 - SAME_AREA) <= area_mm2 <= thickest * (1 + SAME_AREA):
        raise ValueError(
            f"a conductor of {area_mm2:g} mm2 is outside {thinnest:.3g} to {thickest:.3g} mm2, "
            "the sizes that are made"
        )


def _same_area(area_mm2: float, nominal_mm2: float) -> bool:
    return abs(area_mm2 - nominal_mm2) <= SAME_AREA * nominal_mm2


def _table(name: str) -> list[dict[str, str]]:
    with (Path(__file__).parent / "tables" / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def _nec_rows() -> dict[tuple[int, bool, bool], float]:
    """(AWG, stranded, coated) -> ohm/kft at 75 degC."""
    return {
        (int(row["awg"]), row["stranded"] == "yes", row["coated"] == "yes"): float(row["ohm_per_kft"])
        for row in _table("nec_table_8.csv")
    }


@cache
def _nec_areas() -> tuple[tuple[int, float], ...]:
    """AWG and its printed area [mm2]."""
    return tuple({int(row["awg"]): float(row["area_mm2"]) for row in _table("nec_table_8.csv")}.items())


@cache
def _iec_rows() -> dict[tuple[float, int, bool], float]:
    """(area [mm2], class, coated) -> ohm/km at 20 degC."""
    return {
        (float(row["area_mm2"]), int(row["class"]), row["coated"] == "yes"): float(row["ohm_per_km"])
        for row in _table("iec_60228.csv")
    }
