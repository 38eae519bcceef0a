"""The conductor size that a cable's own name gives: `22/2`, `18-2C`, `2x0,75`, `2x2x0,8`."""

import re
from dataclasses import dataclass

from auditor.intake.grammar.values import circle_mm2

THINNEST_USUAL_AWG, THINNEST_USUAL_MM2 = 16, 1.3  # project convention: below it a name counts as a warning
_AWG = re.compile(
    r"(?<![\d.,])(?:#\s*)?(?P<awg>1[0-9]|2[0-8])\s*(?:AWG\s*)?[/\-]\s*\d{1,2}(?!\d)", re.IGNORECASE
)
_METRIC = re.compile(
    r"(?<![\d.,])(?P<pairs>\d{1,2}\s*[xX×]\s*(?=\d{1,2}\s*[xX×]))?\d{1,2}\s*[xX×G]\s*(?P<size>\d(?:[.,]\d{1,2})?)(?!\d)"
)


@dataclass(frozen=True, slots=True)
class NamedSize:
    """A conductor as a name gives it: a gauge as written, an area [mm2], or both of a diameter."""

    gauge: str | None
    area_mm2: float | None

    @property
    def text(self) -> str:
        area = "" if self.area_mm2 is None else f"{self.area_mm2:.2g} mm²"
        if self.gauge is None or not area:
            return self.gauge or area
        return f"{self.gauge} diameter, {area}"


def thin_by_name(name: str) -> NamedSize | None:
    """The size that a name gives, where it is thinner than usual: `22/2` is 22 AWG, `2x0,75` 0.75 mm2; else None.

    The last figure of pairs, `2x2x0,8`, is a diameter in mm.

    Source
    ------
    Common practice, no published source; that telephone cable is named by pairs and diameter is from memory.
    """
    match = _AWG.search(name)
    if match is not None:
        return NamedSize(f"{match['awg']} AWG", None) if int(match["awg"]) > THINNEST_USUAL_AWG else None
    metric = _METRIC.search(name)
    if metric is None:
        return None
    size = float(metric["size"].replace(",", "."))
    found = NamedSize(f"{size:g} mm", circle_mm2(size)) if metric["pairs"] else NamedSize(None, size)
    return found if 0.1 < (found.area_mm2 or 0.0) < THINNEST_USUAL_MM2 else None
