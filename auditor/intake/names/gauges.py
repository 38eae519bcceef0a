"""The conductor size that a cable's own name gives: `22/2`, `18-2C`, `2x2x0,8`."""

import re

THINNEST_USUAL_AWG, THINNEST_USUAL_MM2 = 16, 1.3  # project convention: below it a name counts as a warning
_AWG = re.compile(
    r"(?<![\d.,])(?:#\s*)?(?P<awg>1[0-9]|2[0-8])\s*(?:AWG\s*)?[/\-]\s*\d{1,2}(?!\d)", re.IGNORECASE
)
_METRIC = re.compile(
    r"(?<![\d.,])(?:\d{1,2}\s*[xX×]\s*)?\d{1,2}\s*[xX×G]\s*(?P<size>\d(?:[.,]\d{1,2})?)(?!\d)"
)


def thin_by_name(name: str) -> str | None:
    """The gauge that a name gives, where it is thinner than usual: `22 AWG`, `0.8 mm²`; else None."""
    match = _AWG.search(name)
    if match is not None:
        return f"{match['awg']} AWG" if int(match["awg"]) > THINNEST_USUAL_AWG else None
    metric = _METRIC.search(name)
    if metric is None:
        return None
    size = float(metric["size"].replace(",", "."))
    return f"{size:g} mm²" if 0.1 < size < THINNEST_USUAL_MM2 else None
