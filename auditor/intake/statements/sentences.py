"""Lines outside the tables as facts: units, panels, void parts, what lengths count from, cables."""

import re
from collections.abc import Iterator, Sequence

from auditor.intake.blocks.tables import Line
from auditor.intake.grammar.numbers import plain
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import words
from auditor.intake.names.ends import is_controller, is_head_end
from auditor.intake.names.ports import port_alone
from auditor.intake.statements.cables import cable_in
from auditor.intake.statements.facts import (
    CABLE,
    CUMULATIVE,
    CURRENT_VOLTS,
    LENGTH_UNIT,
    PANEL,
    POWER_UNIT,
    SUPPLY_VOLTAGE,
    VOID,
    Fact,
)
from auditor.intake.words import fold, matcher, said
from auditor.job.model import CellRef
from auditor.units import CURRENT_A, LENGTH_M, POWER_W

_IN_BRACKETS = re.compile(  # `Feet to each device in brackets`
    r"\b(?P<unit>feet|foot|metres?|meters?|mètres|metros|metri|meter)\b[^.;]{0,40}\b(?:brackets|parenthes\w+|klammern?|parenthèses|paréntesis|parentesi|haakjes)\b",
    re.IGNORECASE,
)
SAYS = 0.7  # how strongly a sentence must speak of distances; project convention
MAX_SENTENCE = 400  # characters
LONGEST_VOID = 60  # characters of a line that voids what stands below; project convention
WORDS_OF_VOID = 10
_LENGTH_WORD = re.compile(
    r"\b(?:lengths?|distances?|dimensions?|(?:leitungs|kabel|einzel|teil)?l(?:ä|ae)ngen?(?:angaben?)?|strecken?|longueurs?|m(?:é|e)tr(?:é|e)s?|longitud(?:es)?|distancias?|lunghezz[ae]|distanz[ae]|"
    r"(?:kabel|leiding)?leng(?:tes?|ten)|afstanden?|cable)\b",
    re.IGNORECASE,
)
_POWER_WORD = re.compile(
    r"\b(?:loads?|powers?|currents?|leistung(?:en)?|ströme?|courants?|corrientes?|intensidad(?:es)?|correnti|corrente|stromen|stroom|puissances?|potencias?|potenz[ae]|vermogens?|consumptions?|consommations?|consumos?|assorbiment[oi]|verbruik|verbrauch)\b",
    re.IGNORECASE,
)
_IN_UNIT = re.compile(r"\b(?:in|en|in den|=)\s+(?P<unit>[^\W\d]+)\b", re.IGNORECASE)
_BEHIND_COMMA = re.compile(r",\s*(?P<unit>[^\W\d]+)(?=\.\s|\.?$)")  # `Length = difference of the marks, ft.`
_BRACKET_UNIT = re.compile(r"[(\[](?P<unit>[^\W\d]+)[)\]]")
_SUPPLY = re.compile(
    r"\b(?:suppl(?:y|ies)|bus|nominal|versorgung|speisung|alimentation|alimentaci(?:ó|o)n|alimentazione|voeding)\b[^.;\d]{0,24}(?P<volts>\d{2})\s*V\b",
    re.IGNORECASE,
)
_AT_VOLTS = re.compile(r"\b(?P<volts>\d{2})\s*V\b")
_ON_THIS_SHEET = re.compile(
    r"\b(?:this sheet|diesem blatt|cette feuille|esta hoja|questo foglio|dit blad)\b", re.IGNORECASE
)
_HOW_TO = re.compile(
    r"struck|strike|durchgestrichen|barré|tachado|barrato|doorgehaald|yellow|clouded", re.IGNORECASE
)
_PANEL_LABEL = re.compile(r"(?P<label>[^:=]{2,40}?)\s*[:=]\s*(?P<value>.*)")
MAX_PANEL = 40


def facts_of(lines: Sequence[Line], ends_of_tables: Sequence[int]) -> Iterator[Fact]:
    """The facts that a sheet's lines state.

    Parameters
    ----------
    ends_of_tables : the last rows of the sheet's tables, in order: where the scope of a panel line ends
    """
    panels = [(line, panel) for line in lines if (panel := _panel(line)) is not None]
    for number, (line, (name, column)) in enumerate(panels):
        following = panels[number + 1][0].row - 1 if number + 1 < len(panels) else None
        first = line.row if number else 1
        yield Fact(kind=PANEL, value=name, where=_at(line, column), first_row=first, last_row=following)
    for line in lines:
        for column, value in line.cells.items():
            if isinstance(value, str) and len(value) > 2:
                yield from facts_in(value[:MAX_SENTENCE], line, column, ends_of_tables)


def facts_in(text: str, line: Line, column: int, ends_of_tables: Sequence[int] = ()) -> Iterator[Fact]:
    """The facts that one sentence states."""
    where = _at(line, column)
    unit = length_unit_in(text)
    if unit is not None:
        yield Fact(kind=LENGTH_UNIT, value=unit, where=where, wide=_ON_THIS_SHEET.search(text) is None)
    unit = _unit_after(text, _POWER_WORD, {**POWER_W, **CURRENT_A})
    if unit is not None:
        wide = _ON_THIS_SHEET.search(text) is None
        yield Fact(kind=POWER_UNIT, value=unit, where=where, wide=wide)
        if unit in CURRENT_A and (stated := _AT_VOLTS.search(plain(text))) is not None:
            yield Fact(kind=CURRENT_VOLTS, value=float(stated["volts"]), where=where, wide=wide)
    folded = fold(text)
    if _says_cumulative(text, folded):
        yield Fact(kind=CUMULATIVE, value=True, where=where)
    if (supply := _SUPPLY.search(plain(text))) is not None:
        yield Fact(kind=SUPPLY_VOLTAGE, value=float(supply["volts"]), where=where, wide=True)
    if (cable := cable_in(text, where)) is not None:
        yield Fact(kind=CABLE, value=cable, where=where, wide=True)
    if ends_of_tables and is_void_text(text):
        below = next((end for end in ends_of_tables if end >= line.row), None)
        only = len(ends_of_tables) < 2
        yield Fact(
            kind=VOID,
            value=words(text),
            where=where,
            first_row=1 if only else line.row,
            last_row=None if only else below,
        )


_FROM_THE_PORT = re.compile(
    r"\b(?:measured|counted|counts?|taken|gemessen|gezählt|mesur|medid|misurat|gemeten)", re.IGNORECASE
)
_COUNTED = re.compile(
    r"\b(?:along the|entlang|le long|por el cable|a lo largo|lungo il|langs de|measured|counted|gemessen|gezählt|mesur|medid|misurat|gemeten|"
    r"geteld)",
    re.IGNORECASE,
)
_FROM_A_ROOT = re.compile(  # folded: `from the port`, `desde la salida`
    r"\b(?:from|ab|vom|von|depuis|partir de|partir du|desde|dal|dalla|dall|vanaf)\b(?: \w+){0,2}? (?:port|output|controller|panel|head end|hub|rack|"
    r"ausgang|zentrale|steuergerat|verteiler|sortie|centrale|controleur|coffret|tableau|salida|puerto|controlador|central|cuadro|porta|uscita|"
    r"quadro|controllore|poort|uitgang|regelkast|regelaar|kast)\b(?! (?:schedules?|drawings?|plans?|lists?)\b)"
)
_WEAK = ("from the port", "from port", "from the controller", "from the panel", "ab port", "vom port")


def _says_cumulative(text: str, folded: str) -> bool:
    """Whether a sentence says that lengths count from the port."""
    if _counts_from_the_port(text):
        return True
    match = matcher("cumulative").search(folded)
    if not _LENGTH_WORD.search(text) or matcher("hop").search(folded):
        return False
    if _COUNTED.search(text) and _FROM_A_ROOT.search(folded):
        return True
    if match is None:
        return False
    return match[0] not in _WEAK or _FROM_THE_PORT.search(text) is not None


def _counts_from_the_port(text: str) -> bool:
    """Whether a short sentence speaks of lengths and of the port that they start at, as a heading would."""
    sentence = plain(text).strip(" .!")
    return bool(_LENGTH_WORD.search(sentence)) and said(sentence).get("distance_m", 0.0) >= SAYS


def _at(line: Line, column: int) -> CellRef:
    return CellRef(line.sheet.name, line.row, column)


def length_unit_in(text: str) -> str | None:
    """The unit of bare lengths that a sentence states; None: it states none, or more than one."""
    found = _unit_after(text, _LENGTH_WORD, LENGTH_M)
    if found is None and (stated := _IN_BRACKETS.search(plain(text))) is not None:
        return UNIT_OF.get(stated["unit"].casefold())
    if found in ("mm", "in", "cm") and re.search(r"\bdimension", text, re.IGNORECASE):
        return None  # the drawing's
    return found


def _unit_after(text: str, what: re.Pattern[str], units: object) -> str | None:
    bare = plain(text)
    named = what.search(bare)
    if named is None or not re.match(r"[^;]{0,90}$|.", bare):
        return None
    rest = bare[named.end() :]
    found = {
        UNIT_OF.get(match["unit"].casefold())
        for pattern in (_IN_UNIT, _BRACKET_UNIT, _BEHIND_COMMA)
        for match in pattern.finditer(rest[:80])
    }
    own = {unit for unit in found if unit in units}  # type: ignore[operator]
    others = {
        UNIT_OF.get(word) for word in re.findall(r"[^\W\d]{2,}", rest[:80].casefold()) if word != "in"
    } & set(units)  # type: ignore[call-overload]
    return own.pop() if len(own) == 1 and others <= own | {None} and len(own | others) <= 1 else None


def is_void_text(text: str) -> bool:
    """Whether a short line says that what it heads does not hold."""
    folded = fold(text)
    if len(text) > LONGEST_VOID or len(folded.split()) > WORDS_OF_VOID or _HOW_TO.search(text):
        return False
    return matcher("void_strong").search(folded) is not None


def _panel(line: Line) -> tuple[str, int] | None:
    """(the controller that a line «PANEL: LCP-1» names, its column)."""
    texts = [(column, words(value)) for column, value in sorted(line.cells.items()) if isinstance(value, str)]
    if not texts:
        return None
    column, text = texts[0]
    match = _PANEL_LABEL.fullmatch(text)
    if match is None and len(texts) == 1 and (named := _named_panel(plain(text).strip())) is not None:
        return named, column
    if match is None or not (is_controller(match["label"].strip()) or is_head_end(match["label"].strip())):
        return None
    value = match["value"].strip() or (texts[1][1] if len(texts) > 1 else "")
    at = column if match["value"].strip() else texts[1][0] if len(texts) > 1 else column
    name = re.split(r"[,;(]| - ", value)[0].strip()
    return (name, at) if 0 < len(name) <= MAX_PANEL and any(map(str.isalnum, name)) else None


_NAMED_PANEL = re.compile(
    r"(?P<word>[^\W\d_]{3,}(?: [^\W\d_]{3,})?) (?P<name>[-=+]?(?:[^\W\d_]{1,4}\d{1,3}[\-./])?(?:[^\W\d_]{1,8}[\-._]?|[A-Z]{1,4} )\d{1,4}[^\W\d_]?"
    r"(?: [^\W\d_]{1,6}[\-. ]?\d{1,3})?|[A-Z]{1,4}[\-._][A-Z])(?:,.*)?"
)


def _named_panel(text: str) -> str | None:
    """The controller that a word and a name of their own are: `Control unit C2`, `Steuergerät C2, Technikraum`."""
    word, _, name = text.partition(" ")
    if len(text) <= MAX_PANEL and is_controller(word) and is_controller(name) and any(map(str.isdigit, name)):
        return name
    match = _NAMED_PANEL.fullmatch(text)
    if match is None or len(text) > MAX_PANEL or not is_controller(match["word"]):
        return None
    if re.match(r"[A-Z]+ ", match["name"]) and (match["word"].isupper() or port_alone(match["name"])):
        return None  # `PANEL PAGE 2`; `Panel ZC 1` is one
    return match["name"]


def panel_in_section(text: str) -> str | None:
    """The controller that a section row heads: `PANEL LCP-1`, `CONTROLLER C1`, `PANEL: LCP-1`."""
    bare = plain(text).strip()
    match = _PANEL_LABEL.fullmatch(bare)
    if (
        match is not None
        and match["value"]
        and (is_controller(match["label"]) or is_head_end(match["label"]))
    ):
        return re.split(r"[,;(]| - ", match["value"])[0].strip()[:MAX_PANEL] or None
    if (name := _named_panel(bare)) is not None:
        return name
    if len(bare) <= MAX_PANEL and any(map(str.isdigit, bare)) and is_controller(bare):
        named = re.match(r"[^\W\d_]{3,}\s+(?P<name>[^\W\d_]+[\s\-]?\d+\w*)$", bare)
        return named["name"] if named else bare
    return None
