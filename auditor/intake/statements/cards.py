"""A cable type written down the page, a property a row: `Size | 1.5 mm²`, `Cores | 2`, `Screen | none`."""

from collections.abc import Iterator, Sequence

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.values import words
from auditor.intake.statements.cables import CALLED, cable_in
from auditor.intake.statements.facts import CABLE, Fact
from auditor.intake.words import fold, heading, matcher, said
from auditor.job.model import Cable, CellRef

LEAST_ROWS = 4  # rows of a card that say something of a cable; project convention
_SAYS = 0.6  # how strongly a label must speak for a property
_PROPERTIES = {  # word group of a label -> how its value is written in a sentence about a cable
    "gauge": "{}",
    "conductors": "{} core",
    "capacitance_nf_per_m": "{}",
    "insulation_v": "{}",
}
_VOLTAGES = ("insulation_v", "at_voltage_v", "supply_voltage_v")  # a label of one word may say any

_Row = tuple[int, int, str, Value]  # row, column of the value, label, value
_TITLE = "title"  # label of what stands alone above a card


def cable_cards(sheet: Sheet) -> Iterator[Fact]:
    """The cable types that stand on a sheet as cards."""
    for rows in _stacks(sheet):
        cable = _cable(sheet, rows)
        if cable is not None:
            where = CellRef(sheet.name, rows[0][0], rows[0][1])
            yield Fact(kind=CABLE, value=cable, where=where, wide=True)


def _stacks(sheet: Sheet) -> Iterator[list[_Row]]:
    """Rows one below another that hold a label and a value beside it, and nothing else, behind a text alone above."""
    found: list[_Row] = []
    title: list[_Row] = []
    for number, cells in enumerate(sheet.rows, 1):
        filled = filled_cells(cells, 1, len(cells))
        columns = sorted(filled)
        if len(columns) == 2 and isinstance(filled[columns[0]], str):
            found.append((number, columns[1], words(filled[columns[0]]), filled[columns[1]]))
            continue
        if found:
            yield [*title, *found]
            found = []
        text = words(filled[columns[0]]) if len(columns) == 1 else ""
        title = [(number, columns[0], _TITLE, text)] if CALLED.search(text) else []
    if found:
        yield [*title, *found]


def _cable(sheet: Sheet, rows: Sequence[_Row]) -> Cable | None:
    said_by = [(row, _property(row[2], row[3])) for row in rows]
    known = [(row, name) for row, name in said_by if name is not None]
    if len({name for _, name in known}) < LEAST_ROWS or "gauge" not in {name for _, name in known}:
        return None
    named = next((row for row, name in said_by if name == "name"), rows[0])
    where = CellRef(sheet.name, named[0], named[1])
    first = sorted(known, key=lambda one: one[1] != "gauge")  # a sentence names the size behind the cable
    texts = [_PROPERTIES[name].format(_with_unit(row)) for row, name in first if name in _PROPERTIES]
    return cable_in(f"{words(named[3])}: {', '.join([texts[0], *_made(known), *texts[1:]])}", where)


def _with_unit(row: _Row) -> str:
    """A value with the unit that its label states: `Section (mm²)` beside 1.5."""
    _, _, label, value = row
    unit = heading(label).unit if isinstance(value, float) else None
    return f"{words(value)} {unit}" if unit else words(value)


def _made(known: Sequence[tuple[_Row, str]]) -> Iterator[str]:
    """How the conductors and the screen are said in a sentence."""
    for row, name in known:
        text = fold(words(row[3]))
        if name == "stranded":
            yield (
                "stranded"
                if matcher("stranded").search(text)
                else "solid"
                if matcher("solid").search(text)
                else ""
            )
        if name == "shielded":
            yield (
                "unshielded"
                if matcher("unshielded").search(text)
                else "shielded"
                if matcher("shielded").search(text)
                else ""
            )


def _property(label: str, value: Value) -> str | None:
    """What a row says of a cable."""
    if label == _TITLE:
        return None
    strengths = said(label)
    text = fold(words(value))
    if not any(map(str.isdigit, text)) and (
        matcher("stranded").search(text) or matcher("solid").search(text)
    ):
        return "stranded"
    if max(strengths.get(name, 0.0) for name in _VOLTAGES) >= _SAYS:
        return "insulation_v"
    names = ("gauge", "capacitance_nf_per_m", "shielded", "conductors", "name", "type")
    best = max(names, key=lambda name: strengths.get(name, 0.0))
    if strengths.get(best, 0.0) < _SAYS:
        return None
    return "name" if best == "type" else best
