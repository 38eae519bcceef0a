"""Designs made at random: a few controllers, a tree, chain or star on each port, perhaps one fault."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

from tests.offices.design import FOOT_M, Cable, Design, Device, End, Port, Pull
from tests.offices.faults import FAULTS
from tests.offices.names import Namer, same
from tests.offices.truth import as_written, hardest_load_w_ohm, may_lose_past_supply

KINDS = ("keypad", "dimmer", "thermostat", "sensor", "shade", "relay")
MILLIAMPS = (5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50)  # at 24 V; watts are whole or half hundredths
SUPPLY_V = 24.0
NEVER_AT_FAULT = 0.85  # of each limit: what a sound design uses at most
HARDEST_W_OHM = 60.0  # of the 144 that 24 V can deliver: far from collapse


def grow(
    rng: Random,
    *,
    form: str,
    unit: str,
    namer: Namer,
    splice: Callable[[int], str],
    fault: str = "",
    cables_stated: bool = True,
    splices: bool = True,
    pieces: bool = False,
) -> Design:
    """A design whose verdict is what its fault leads to, far from every limit that it does not break.

    Raises
    ------
    ValueError : no such design was found in many tries
    """
    for _ in range(400):
        design = _proposal(rng, form, unit, namer, splice, cables_stated, splices, fault)
        if pieces:
            design = _in_pieces(rng, design)
        if fault:
            design = FAULTS[fault].make(rng, design)
        if design is not None and _as_meant(design):
            return design
    raise ValueError(f"no {form} of {unit} with the fault '{fault}'")


def _in_pieces(rng: Random, design: Design) -> Design:
    """Some tags stand for several pieces at one place."""
    devices = tuple(
        replace(d, quantity=rng.choice((2, 2, 3, 4))) if rng.random() < 0.2 else d for d in design.devices
    )
    return replace(design, devices=devices)


def _as_meant(design: Design) -> bool:
    if len({same(device.tag) for device in design.devices}) < len(design.devices):
        return False
    found = as_written(design)
    wanted = FAULTS[design.fault].verdict if design.fault else "pass"
    if found.verdict != wanted or hardest_load_w_ohm(design, found.runs) > HARDEST_W_OHM:
        return False
    if may_lose_past_supply(design, found.runs):
        return False
    rules = FAULTS[design.fault].fails if design.fault else frozenset()
    return found.fails == rules or (design.form == "chain" and found.fails == rules | {"reach"} != {"reach"})


def _proposal(
    rng: Random,
    form: str,
    unit: str,
    namer: Namer,
    splice: Callable[[int], str],
    stated: bool,
    splices: bool,
    fault: str,
) -> Design:
    ports = _ports(rng)
    watts = {kind: rng.choice(MILLIAMPS) * SUPPLY_V / 1000 for kind in KINDS}
    devices: list[Device] = []
    pulls: list[Pull] = []
    joints: list[str] = []
    cable = _cable(rng, unit)
    many = FAULTS[fault].many if fault else 0
    for index, port in enumerate(ports):
        size = rng.randint(*many) if many and index == 0 else rng.randint(3, 13)
        tags = _devices(rng, devices, size, watts, namer, floor=1 + index % 3)
        joint = (lambda: splice(len(joints) + 1)) if splices and form == "tree" else None
        for near, far in _shape(rng, form, port, tags, joint, joints):
            pulls.append(
                Pull(
                    number=len(pulls) + 1, near=near, far=far, length=_hop(rng, form, unit), cable=cable.name
                )
            )
    return Design(
        unit=unit,
        form=form,
        ports=tuple(ports),
        devices=tuple(devices),
        pulls=tuple(pulls),
        splices=tuple(joints),
        cables=(cable,),
        cables_stated=stated,
    )


def _ports(rng: Random) -> list[Port]:
    controllers = rng.choice((1, 1, 1, 2, 2, 3))
    ports = [Port(c, p) for c in range(1, controllers + 1) for p in (1, 2)]
    if len(ports) > 1 and rng.random() < 0.5:
        ports.pop()
    return ports


def _cable(rng: Random, unit: str) -> Cable:
    names = (
        ("BUS-16", "X16", "TP-1", "LV2", "BC-A", "Bus pair", "16/2")
        if unit == "ft"
        else ("BUS 2x1.5", "ST-2", "BK", "CB-A", "L2")
    )
    return Cable(name=rng.choice(names), awg=16, capacitance_pf_per_ft=rng.choice((24.0, 25.0, 26.0, 28.0)))


def _devices(
    rng: Random, devices: list[Device], size: int, watts: dict[str, float], namer: Namer, floor: int
) -> list[str]:
    kinds = rng.sample(KINDS, rng.randint(2, 5))
    room = max((device.room for device in devices), default=0)
    tags = []
    for _ in range(size):
        kind = rng.choice(kinds)
        room += not devices or rng.random() < 0.4
        own = sum(device.kind == kind for device in devices) + 1
        tag = namer(kind, own, len(devices) + 1, floor)
        devices.append(Device(tag=tag, kind=kind, floor=floor, room=max(room, 1), power_w=watts[kind]))
        tags.append(tag)
    return tags


def _shape(
    rng: Random, form: str, port: Port, tags: list[str], joint: Callable[[], str] | None, joints: list[str]
) -> list[tuple[End, End]]:
    """The pulls of one run, each behind the one that feeds it."""
    if form == "star":
        return [(port, tag) for tag in tags]
    edges: list[tuple[End, End]] = []
    last: End = port
    for place, tag in enumerate(tags):
        if form == "tree" and place and rng.random() < 0.3:
            last = rng.choice([port, *tags[:place]])
        if joint is not None and rng.random() < 0.06:
            name = joint()
            joints.append(name)
            edges.append((last, name))
            last = name
            if place + 1 < len(tags):  # a joint joins at least three cables
                edges.append((last, tag))
                continue
        edges.append((last, tag))
        last = tag
    return edges


def _hop(rng: Random, form: str, unit: str) -> float:
    low, high = (30, 220) if form == "star" else (12, 70)
    if unit == "ft":
        return rng.randint(2 * low, 2 * high) / 2 if rng.random() < 0.3 else float(rng.randint(low, high))
    return round(rng.uniform(low, high) * FOOT_M * 2) / 2
