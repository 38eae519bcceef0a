"""Tables beside the job's own: cable types, controllers, a legend of types, splices, reels left."""

from tests.offices.book import Column, Row, Table
from tests.offices.design import FOOT_M, Cable, Port
from tests.offices.draft import Draft, length_column


def cables(draft: Draft) -> None:
    metric = draft.design.unit == "m"
    by_area = metric and draft.rng("area").random() < 0.6
    size = Column(role="area", unit="mm²", shown_unit="mm²") if by_area else Column(role="awg")
    per = "pF/m" if metric else "pF/ft"
    columns = [Column(role="cable"), size]
    columns += [Column(role=role) for role in ("conductors", "stranding", "shield")]
    columns += [Column(role="capacitance", unit=per, shown_unit=per), Column(role="insulation")]
    table = Table(kind="cables", columns=columns)
    for cable in draft.design.cables:
        table.rows.append(Row(values=_cable_values(draft, cable, metric, by_area)))
    draft.add(table, title=False)


def _cable_values(draft: Draft, cable: Cable, metric: bool, by_area: bool) -> list[object]:
    per = round(cable.capacitance_pf_per_ft / FOOT_M, 1) if metric else cable.capacitance_pf_per_ft
    size: object = {16: 1.5, 18: 0.75}[cable.awg] if by_area else cable.awg
    return [cable.name, size, 2, draft.say("stranded"), draft.say("unshielded"), per, 600]


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
    """What is left on a few reels, and one that each pull can be cut from."""
    rng = draft.rng("reels")
    columns = [Column(role="reel"), Column(role="cable"), length_column("left")]
    table = Table(kind="reels", columns=columns)
    for number in range(1, rng.randint(3, 5)):
        table.rows.append(
            Row(values=[f"R{number}", draft.design.cables[0].name, float(rng.randint(30, 400))])
        )
    longest = max((pull.length or 0.0 for pull in draft.design.pulls), default=0.0)
    full = max({"ft": 1000.0, "m": 305.0}[draft.design.unit], 2 * longest)
    table.rows.append(Row(values=[f"R{len(table.rows) + 1}", draft.design.cables[0].name, full]))
    draft.add(table, title=False)
