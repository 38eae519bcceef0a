"""Our load flow against two independent solvers on random nets of 3 to 120 devices.

ngspice: a general circuit simulator; each device is a behavioural current source. power-grid-model: a
load-flow library for three-phase grids; with no reactance, P of three phases over line-to-line volts
gives the same equation as P of one loop. Without one of them its tests are skipped.
"""

import random
import re
import shutil
import subprocess

import numpy as np
import pytest

from auditor.calc.volts.flow import FlowStatus, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad

AGREEMENT_V = 1e-6
NETS = 208


def random_net(seed, devices=None, loops=None, kinds="mixed"):
    """A net that has a solution: a random tree, every second one with extra pulls, every eighth with
    a second source; depth from a star to a line."""
    draw = random.Random(seed)
    n = devices or draw.choice([3, 4, 5, 8, 12, 20, 35, 60, 90, 120])
    reach = draw.choice([1, 2, 6, n])
    links = [(f"n{draw.randint(max(0, i - reach), i - 1)}", f"n{i}") for i in range(1, n + 1)]
    for _ in range((seed % 2) * draw.randint(1, 6) if loops is None else loops):
        links.append(tuple(f"n{i}" for i in draw.sample(range(n + 1), 2)))
    sources = {"n0": 24.0} | ({f"n{n}": 23.5} if seed % 8 == 7 else {})
    loads = {}
    for i in range(1, n + 1):
        kind = "constant-power"
        if kinds == "mixed" and seed % 4 > 1:
            kind = draw.choice(["constant-power", "constant-current", "resistive"])
        loads[f"n{i}"] = [NodeLoad.of(kind, draw.uniform(0.05, 3), 24)]
    net = Net(sources=sources, links=[(a, b, draw.uniform(0.01, 2)) for a, b in links], loads=loads)
    while solve(net).status is not FlowStatus.SOLVED:
        net = net.scaled(0.7)
    return net


def spice_elements(net, prefix):
    for name, volts in net.sources.items():
        yield f"V{prefix}{name} {prefix}{name} 0 {volts!r}"
    for k, (a, b, ohm) in enumerate(net.links):
        yield f"R{prefix}{k} {prefix}{a} {prefix}{b} {ohm!r}"
    start = max(net.sources.values())
    for name, loads in net.loads.items():
        node = prefix + name
        for k, load in enumerate(loads):
            current = f"{load.power_w!r}/V({node})+{load.current_a!r}+{load.siemens!r}*V({node})"
            yield f"B{node}{k} {node} 0 I={current}"
        yield f".nodeset V({node})={start!r}"


def spice_voltages(nets, folder):
    """Node voltages of several nets in one run; None: the simulator found no operating point."""
    elements = [line for k, net in enumerate(nets) for line in spice_elements(net, f"x{k}x")]
    control = [
        ".options reltol=1e-9 abstol=1e-12 vntol=1e-10 gmin=1e-15",
        *(".control", "set numdgt=14", "op", "print all", ".endc", ".end"),
    ]
    netlist = folder / "nets.cir"
    netlist.write_text("\n".join(["* random nets", *elements, *control]) + "\n")
    done = subprocess.run(["ngspice", "-b", netlist], capture_output=True, text=True, timeout=60, check=False)
    found = re.findall(r"^x(\d+)x(n\d+) = (\S+)$", done.stdout, re.MULTILINE)
    if not found:
        assert "aborted" in done.stdout + done.stderr  # it gave up; anything else is our netlist's fault
        return None
    volts = [{} for _ in nets]
    for k, name, value in found:
        volts[int(k)][name] = float(value)
    return volts


needs_ngspice = pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")


@needs_ngspice
@pytest.mark.parametrize("batch", range(8))
def test_ngspice_agrees(batch, tmp_path):
    nets = [random_net(seed) for seed in range(batch * NETS // 8, (batch + 1) * NETS // 8)]
    for net, theirs in zip(nets, spice_voltages(nets, tmp_path), strict=True):
        ours = solve(net).voltages_v
        assert theirs.keys() == ours.keys()
        assert max(abs(theirs[name] - ours[name]) for name in ours) <= AGREEMENT_V


def grid_voltages(net):
    """Node voltages by power-grid-model; None: it found no solution."""
    pgm = pytest.importorskip("power_grid_model", reason="power-grid-model is not installed")
    errors = pytest.importorskip("power_grid_model.errors")
    names = list(dict.fromkeys([*net.sources, *(end for link in net.links for end in link[:2])]))
    number = {name: i for i, name in enumerate(names)}
    base_v = 24.0

    def table(component, rows):
        array = pgm.initialize_array("input", component, len(rows))
        for field in rows[0]:
            array[field] = [row[field] for row in rows]
        return array

    links = [(number[a], number[b], ohm) for a, b, ohm in net.links]
    loads = []
    for name, at_node in net.loads.items():
        for load in at_node:
            by_type = [load.power_w, load.siemens * base_v**2, load.current_a * base_v]
            loads += [(number[name], kind, watts) for kind, watts in enumerate(by_type) if watts]
    first = len(names)
    common = {"status": 1}
    model = pgm.PowerGridModel(
        {
            "node": table("node", [{"id": i, "u_rated": base_v} for i in range(len(names))]),
            "line": table(
                "line",
                [
                    {"id": first + k, "from_node": a, "to_node": b, "from_status": 1, "to_status": 1}
                    | {"r1": ohm, "x1": 0.0, "c1": 0.0, "tan1": 0.0}
                    for k, (a, b, ohm) in enumerate(links)
                ],
            ),
            "source": table(
                "source",
                [
                    {"id": first + len(links) + k, "node": number[name], "u_ref": volts / base_v, "sk": 1e15}
                    | common
                    for k, (name, volts) in enumerate(net.sources.items())
                ],
            ),
            "sym_load": table(
                "sym_load",
                [
                    {"id": first + len(links) + len(net.sources) + k, "node": node, "type": kind}
                    | {"p_specified": watts, "q_specified": 0.0}
                    | common
                    for k, (node, kind, watts) in enumerate(loads)
                ],
            ),
        },
        system_frequency=50,
    )
    try:
        result = model.calculate_power_flow(error_tolerance=1e-11, max_iterations=60)
    except errors.PowerGridError:
        return None
    return dict(zip(names, np.asarray(result["node"]["u"]).tolist(), strict=True))


@pytest.mark.parametrize("batch", range(8))
def test_power_grid_model_agrees(batch):
    for seed in range(batch * NETS // 8, (batch + 1) * NETS // 8):
        net = random_net(seed)
        ours, theirs = solve(net).voltages_v, grid_voltages(net)
        assert theirs.keys() == ours.keys()
        assert max(abs(theirs[name] - ours[name]) for name in ours) <= AGREEMENT_V, seed


COLLAPSE_SEEDS = [(seed, devices) for seed in range(4) for devices in (3, 12, 40)]


@needs_ngspice
@pytest.mark.parametrize(("seed", "devices"), COLLAPSE_SEEDS)
def test_ngspice_finds_the_same_collapse_point_within_1_percent(seed, devices, tmp_path):
    net = random_net(seed, devices=devices, kinds="constant-power")
    collapse = max_deliverable_factor(net)
    below, above = net.scaled(0.99 * collapse), net.scaled(1.01 * collapse)
    (theirs,) = spice_voltages([below], tmp_path)
    ours = solve(below).voltages_v
    assert max(abs(theirs[name] - ours[name]) for name in ours) <= AGREEMENT_V
    assert spice_voltages([above], tmp_path) is None
    assert solve(above).status is FlowStatus.NO_SOLUTION


@pytest.mark.parametrize(("seed", "devices"), COLLAPSE_SEEDS)
def test_power_grid_model_finds_the_same_collapse_point_within_1_percent(seed, devices):
    net = random_net(seed, devices=devices, kinds="constant-power")
    collapse = max_deliverable_factor(net)
    theirs = grid_voltages(net.scaled(0.99 * collapse))
    ours = solve(net.scaled(0.99 * collapse)).voltages_v
    assert max(abs(theirs[name] - ours[name]) for name in ours) <= AGREEMENT_V
    assert grid_voltages(net.scaled(1.01 * collapse)) is None
