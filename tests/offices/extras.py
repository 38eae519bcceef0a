"""Tables beside the job's own: cable types, controllers, a legend of types, splices, reels left."""

from random import Random

from tests.offices.book import Cell, Column, Row, Sheet, Table
from tests.offices.design import FOOT_M, Cable, Port
from tests.offices.draft import Draft, length_column


def cables(draft: Draft) -> None:
    columns = [
        Column(role="cable"),
        *(Column(role=role) for role in ("awg", "conductors", "stranding", "shield")),
    ]
    metric = draft.design.unit == "m"
    capacitance = Column(
        role="capacitance", unit="pF/m" if metric else "pF/ft", shown_unit="pF/m" if metric else "pF/ft"
    )
    table = Table(kind="cables", columns=[*columns, capacitance, Column(role="insulation")])
    for cable in draft.design.cables:
        table.rows.append(Row(values=_cable_values(draft, cable, metric)))
    draft.add(table, title=False)


def _cable_values(draft: Draft, cable: Cable, metric: bool) -> list[object]:
    per = round(cable.capacitance_pf_per_ft / FOOT_M, 1) if metric else cable.capacitance_pf_per_ft
    return [cable.name, cable.awg, 2, draft.say("stranded"), draft.say("unshielded"), per, 600]


def legend(draft: Draft) -> None:
    """Power by type of device, beside the description; the code where the list has one."""
    columns = [Column(role="type"), Column(role="description"), Column(role="power", unit="power")]
    table = Table(kind="legend", columns=columns)
    watts = {device.kind: device.power_w for device in draft.design.devices}
    for kind, power_w in watts.items():
        table.rows.append(Row(values=[draft.code(kind), draft.words.KINDS[kind][0], power_w]))
    draft.add(table, title=False)


def controllers(draft: Draft) -> None:
    columns = [
        Column(role="controller"),
        Column(role="location"),
        Column(role="ports"),
        Column(role="supply"),
    ]
    table = Table(kind="controllers", columns=columns)
    rooms = draft.words.ROOMS.split("|")
    for controller in draft.design.controllers:
        name = draft.ports.controller(Port(controller, 1))
        table.rows.append(Row(values=[name, rooms[controller % len(rooms)], 2, 35]))
    draft.add(table, title=False)


def splices(draft: Draft) -> None:
    table = Table(kind="splices", columns=[Column(role="splice"), Column(role="location")])
    rooms = draft.words.ROOMS.split("|")
    for place, splice in enumerate(draft.design.splices):
        table.rows.append(Row(values=[splice, rooms[place % len(rooms)]]))
    draft.add(table, title=False)


def reels(draft: Draft) -> None:
    rng = draft.rng("reels")
    columns = [Column(role="reel"), Column(role="cable"), length_column("left")]
    table = Table(kind="reels", columns=columns)
    for number in range(1, rng.randint(3, 5)):
        table.rows.append(
            Row(values=[f"R{number}", draft.design.cables[0].name, float(rng.randint(30, 400))])
        )
    draft.add(table, title=False)


# ------------------------------------------------------------------------------- sheets that are no job


def _time_sheet(rng: Random) -> list[list[object]]:
    rows: list[list[object]] = [["Datum", "von", "bis", "Pause", "Stunden", "Bemerkung"]]
    for day in range(4, 10):
        start = rng.choice((7, 7.5, 8))
        rows.append([f"2024-03-{day:02d}", start, start + 8.5, 0.5, 8, ""])
    return rows


def _prices(rng: Random) -> list[list[object]]:
    rows: list[list[object]] = [["Item", "Qty", "Unit", "Rate", "Amount"]]
    for item, unit in (("Conduit 20 mm", "m"), ("Wall box", "ea"), ("Labour", "h"), ("Cable ties", "pack")):
        count, rate = rng.randint(2, 60), rng.randint(2, 70)
        rows.append([item, count, unit, rate, count * rate])
    return rows


def _contacts(rng: Random) -> list[list[object]]:
    people = rng.sample(("R. Marsh", "H. Kolb", "L. Petit", "S. Ortega", "A. de Wit", "C. Ferri"), 3)
    return [
        ["Name", "Company", "Phone"],
        *[[who, f"Firm {n}", f"555-01{n}{n}"] for n, who in enumerate(people, 1)],
    ]


def _revisions(rng: Random) -> list[list[object]]:
    rows: list[list[object]] = [["Rev", "Date", "By", "Change"]]
    return rows + [
        ["ABC"[n], f"2024-0{n + 1}-1{n}", "RM", change]
        for n, change in enumerate(("First issue", "Rooms renamed", "Level 2 added"))
    ]


def _doors(rng: Random) -> list[list[object]]:
    rows: list[list[object]] = [["Door", "Width (mm)", "Height (mm)", "Type", "Room"]]
    return rows + [
        [f"D{n}", rng.choice((800, 900)), 2040, rng.choice(("A", "B")), f"Room {n}"] for n in range(1, 7)
    ]


def _rota(rng: Random) -> list[list[object]]:
    return [
        ["Week", "From", "To"],
        *[[week, f"Team {'ABC'[week % 3]}", f"Team {'BCA'[week % 3]}"] for week in range(1, 8)],
    ]


def _bill(rng: Random) -> list[list[object]]:
    return [
        ["Device", "Description", "Qty", "Unit cost"],
        ["PLT-1", "Wall plate", rng.randint(5, 40), 6],
        ["PSU-2", "Supply, spare", 1, 140],
        ["LBL", "Labels, roll", 2, 11],
    ]


def _sums(rng: Random) -> list[list[object]]:
    rows: list[list[object]] = [["Value 1", "Value 2", "Formula", "Kind"]]
    return rows + [[n, n + 2, Cell(2 * n + 2, formula=f"=A{n + 1}+B{n + 1}"), "number"] for n in range(1, 6)]


STRANGERS = {
    "time sheet": _time_sheet,
    "estimate": _prices,
    "contacts": _contacts,
    "revisions": _revisions,
    "doors": _doors,
    "rota": _rota,
    "bill of other material": _bill,
    "sums": _sums,
}


def stranger(draft: Draft) -> str:
    """A sheet that has nothing to do with the job; its name."""
    rng = draft.rng("stranger")
    what = rng.choice(list(STRANGERS))
    name = rng.choice((what.capitalize(), f"Sheet{rng.randint(2, 5)}", f"Tabelle{rng.randint(2, 4)}"))
    sheet = Sheet(name=draft.free_name(name), lines=STRANGERS[what](rng), of_job=False)
    draft.sheets.insert(rng.choice((0, len(draft.sheets))), sheet)
    return what
