"""Sheets in a job's workbook that are no part of the job."""

from collections import Counter
from random import Random

from tests.offices.book import Cell, Sheet
from tests.offices.draft import Draft

Rows = list[list[object]]


def stranger(draft: Draft) -> str:
    """Put one of them first or last; what it is."""
    rng = draft.rng("stranger")
    what = rng.choice(list(STRANGERS))
    name = rng.choice((what.capitalize(), f"Sheet{rng.randint(2, 5)}", f"Tabelle{rng.randint(2, 4)}"))
    sheet = Sheet(name=draft.free_name(name), lines=STRANGERS[what](draft, rng), of_job=False)
    draft.sheets.insert(rng.choice((0, len(draft.sheets))), sheet)
    return what


def _time_sheet(draft: Draft, rng: Random) -> Rows:
    rows: Rows = [["Datum", "von", "bis", "Pause", "Stunden", "Bemerkung"]]
    for day in range(4, 10):
        start = rng.choice((7, 7.5, 8))
        rows.append([f"2024-03-{day:02d}", start, start + 8.5, 0.5, 8, ""])
    return rows


def _estimate(draft: Draft, rng: Random) -> Rows:
    rows: Rows = [["Item", "Qty", "Unit", "Rate", "Amount"]]
    for item, unit in (("Conduit 20 mm", "m"), ("Wall box", "ea"), ("Labour", "h"), ("Cable ties", "pack")):
        count, rate = rng.randint(2, 60), rng.randint(2, 70)
        rows.append([item, count, unit, rate, count * rate])
    return rows


def _contacts(draft: Draft, rng: Random) -> Rows:
    people = rng.sample(("R. Marsh", "H. Kolb", "L. Petit", "S. Ortega", "A. de Wit", "C. Ferri"), 3)
    return [
        ["Name", "Company", "Phone"],
        *[[who, f"Firm {n}", f"555-01{n}{n}"] for n, who in enumerate(people)],
    ]


def _revisions(draft: Draft, rng: Random) -> Rows:
    changes = ("First issue", "Rooms renamed", "Level 2 added")
    rows: Rows = [["Rev", "Date", "By", "Change"]]
    return rows + [["ABC"[n], f"2024-0{n + 1}-1{n}", "RM", change] for n, change in enumerate(changes)]


def _doors(draft: Draft, rng: Random) -> Rows:
    rows: Rows = [["Door", "Width (mm)", "Height (mm)", "Type", "Room"]]
    for n in range(1, 7):
        rows.append([f"D{n}", rng.choice((800, 900)), 2040, rng.choice(("A", "B")), f"Room {n}"])
    return rows


def _rota(draft: Draft, rng: Random) -> Rows:
    weeks = [[week, f"Team {'ABC'[week % 3]}", f"Team {'BCA'[week % 3]}"] for week in range(1, 8)]
    return [["Week", "From", "To"], *weeks]


def _other_material(draft: Draft, rng: Random) -> Rows:
    return [
        ["Device", "Description", "Qty", "Unit cost"],
        ["PLT-1", "Wall plate", rng.randint(5, 40), 6],
        ["SPR-2", "Supply, spare", 1, 140],
        ["LBL", "Labels, roll", 2, 11],
    ]


def _bill(draft: Draft, rng: Random) -> Rows:
    """The job's own kinds of device, counted and priced: no devices of their own."""
    kinds = Counter(device.kind for device in draft.design.devices for _ in range(device.quantity))
    rows: Rows = [["Device", "Description", "Qty", "Unit cost", "Cost"]]
    for kind, count in kinds.items():
        word, prefix = draft.words.KINDS[kind]
        cost = rng.randint(40, 300)
        rows.append([f"{prefix}-100", word, count, cost, count * cost])
    return rows


def _index(draft: Draft, rng: Random) -> Rows:
    return [["No.", "Sheet", "Rev"], *[[n, sheet.name, "A"] for n, sheet in enumerate(draft.sheets, 1)]]


def _sums(draft: Draft, rng: Random) -> Rows:
    rows: Rows = [["Value 1", "Value 2", "Formula", "Kind"]]
    for n in range(1, 6):
        rows.append([n, n + 2, Cell(2 * n + 2, formula=f"=A{n + 1}+B{n + 1}"), "number"])
    return rows


STRANGERS = {
    "time sheet": _time_sheet,
    "estimate": _estimate,
    "contacts": _contacts,
    "revisions": _revisions,
    "doors": _doors,
    "rota": _rota,
    "other material": _other_material,
    "bill of material": _bill,
    "index": _index,
    "sums": _sums,
}
