"""Sentences that say what a cable is: `BUS-16: 16 AWG, 2 conductor, stranded, unshielded, 27 pF/ft, 600 V`."""

import re

from auditor.intake.grammar.numbers import plain
from auditor.job.model import Cable, CellRef
from auditor.units import CAPACITANCE_NF_PER_M

_GAUGE = re.compile(
    r"(?<![\w.])(?:#\s*)?(?P<awg>\d{1,2})\s*(?:AWG|ga\b)|(?P<mm2>\d+(?:[.,]\d+)?)\s*(?:mm²|mm2|qmm)",
    re.IGNORECASE,
)
_CORES = re.compile(
    r"(?<![\w.])(?P<cores>[2-9])\s*-?\s*(?:c\b|cond|core|wire|ader|condutt|hilos?\b|fils?\b|brins?\b|anime|[x×]\s*\d+(?:[.,]\d+)?\s*(?:mm|qmm))",
    re.IGNORECASE,
)
_CAPACITANCE = re.compile(r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>pF/ft|pF/m|nF/km)", re.IGNORECASE)
_INSULATION = re.compile(r"(?<![\w.])(?P<volts>\d{2,4})\s*V\b", re.IGNORECASE)
_UNSHIELDED = re.compile(
    r"unshielded|unscreened|ungeschirmt|onafgeschermd|non\s+(?:blind|écrant|schermat)|"
    r"\b(?:no|not|without|ohne|kein\w*|sans|non|sin|senza|zonder|geen|niet)\s+"
    r"(?:shield|screen|schirm|geschirmt|écran|écranté|blind|pantalla|apantalla|malla|scherm|afgeschermd|afscherming)"
)
_SHIELDED = re.compile(r"shielded|screened|geschirmt|blindé|écranté|apantallad|blindado|schermat|afgeschermd")
_SOLID = re.compile(r"\bsolid\b|massi[vef]|rigide|\beindrähtig|rígid|rigid[oi]|unifilar")
_STRANDED = re.compile(
    r"stranded|\bstr\b|flexib|feindrähtig|mehrdrähtig|litze|souple|multibrin|multifilar|trefol|flessibil|soepel"
)
CALLED = re.compile(  # `All cable is TP-18`, `Kabeltyp: TP-18`
    r"\b(?:cable|wire|kabel|leitung|câble|cavo|kabels)\b:?\s+"
    r"(?:(?:is|are|to be|shall be|ist|est|es|è|type|typ|tipo)\s+)*(?P<name>\S.*)$",
    re.IGNORECASE,
)
_COUNTED = re.compile(
    r"[:,]\s*[2-9]\s*(?:[x×]|[^\W\d]+(?:\s+(?:de|di|à|of|van|von|[x×]))?)?\s*$", re.IGNORECASE
)
_CODE = re.compile(
    r"^(?:[^\W\d_A-ZÄÖÜ]+\s+)+([^\W\d_]+[\-.]?\d[\w\-.]*)$"
)  # `durchweg SB-16`, `es manguera M2`
_UNITS = {unit.casefold(): unit for unit in CAPACITANCE_NF_PER_M}


def cable_in(text: str, where: CellRef) -> Cable | None:
    """The cable that a sentence describes; None: it gives no name, or no size with something more."""
    bare = plain(text)
    gauge = _GAUGE.search(bare)
    if gauge is None:
        return None
    cores, capacitance, insulation = (
        _CORES.search(bare),
        _CAPACITANCE.search(bare),
        _INSULATION.search(bare, gauge.end()),
    )
    lower = bare.casefold()
    unshielded = _either(lower, _UNSHIELDED, _SHIELDED)
    solid = _either(lower, _SOLID, _STRANDED)
    name = _name(bare[: gauge.start()])
    if name is None or (cores is None and solid is None and capacitance is None):
        return None
    return Cable(
        name=name,
        area_mm2=float(gauge["mm2"].replace(",", ".")) if gauge["mm2"] else None,
        gauge=f"{int(gauge['awg'])} AWG" if gauge["awg"] else f"{gauge['mm2']} mm²",
        conductors=int(cores["cores"]) if cores else None,
        stranded=None if solid is None else not solid,
        shielded=None if unshielded is None else not unshielded,
        capacitance_nf_per_m=_nf_per_m(capacitance),
        insulation_v=float(insulation["volts"]) if insulation else None,
        where=where,
    )


def _either(text: str, first: re.Pattern[str], second: re.Pattern[str]) -> bool | None:
    """True: the first words stand there; False: the second; None: neither."""
    if first.search(text):
        return True
    return False if second.search(text) else None


def _name(before: str) -> str | None:
    """The last name before the size, behind a word for cable if there is one."""
    text = _COUNTED.sub("", before).strip(" :=,-")
    text = re.split(r"[.;]\s", text)[-1].strip()
    worded = CALLED.search(text)
    name = _CODE.sub(r"\1", worded["name"] if worded else text)
    return name if 1 < len(name) <= 30 else None


def _nf_per_m(match: re.Match[str] | None) -> float | None:
    if match is None:
        return None
    unit = _UNITS[match["unit"].casefold()]
    return float(match["value"].replace(",", ".")) * CAPACITANCE_NF_PER_M[unit]
