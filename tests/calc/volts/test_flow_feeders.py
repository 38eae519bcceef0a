"""Our load flow on the radial feeders that a general power library carries, against that library's own solver.

pandapower, with reactance, reactive loads and capacitance set to 0: of a symmetric three-phase feeder, P of three phases
over line-to-line volts gives the same equation as P of one loop. Feeders: Baran and Wu, IEEE Trans. Power Delivery 4 (1989),
the 33-bus network; Kerber, dissertation, TU München (2011), low-voltage networks in the country, in a village and in a
suburb; the library's own four-load branches. Without the library its tests are skipped.
"""

from typing import Any

import pytest

from auditor.calc.volts.flow import FlowStatus, solve
from auditor.calc.volts.net import Net, NodeLoad

AGREEMENT = 1e-6  # relative
FEEDERS = {  # name in the library -> nodes with the source
    "case33bw": 33,
    "create_kerber_landnetz_freileitung_1": 14,
    "create_kerber_dorfnetz": 115,
    "create_kerber_vorstadtnetz_kabel_1": 293,
    "panda_four_load_branch": 5,
}


def without_reactance(name: str) -> Any:
    """The feeder in ohms and watts, fed at the secondary of its transformer, where it has one."""
    networks = pytest.importorskip("pandapower.networks", reason="pandapower is not installed")
    power = pytest.importorskip("pandapower")
    net = getattr(networks, name)()
    if len(net.trafo):
        fed = int(net.trafo.lv_bus.iloc[0])
        upper = [int(bus) for bus in net.bus.index if net.bus.vn_kv[bus] != net.bus.vn_kv[fed]]
        net.trafo.drop(net.trafo.index, inplace=True)
        net.ext_grid.drop(net.ext_grid.index, inplace=True)
        net.bus.drop(upper, inplace=True)
        power.create_ext_grid(net, fed, vm_pu=1.0)
    net.line["x_ohm_per_km"] = 0.0
    net.line["c_nf_per_km"] = 0.0
    net.line["g_us_per_km"] = 0.0
    net.load["q_mvar"] = 0.0
    power.runpp(net, algorithm="nr", init="flat", tolerance_mva=1e-12, max_iteration=50, numba=False)
    return net


def ours(net: Any) -> Net:
    volts = {bus: 1000 * float(net.bus.vn_kv[bus]) for bus in net.bus.index}
    lines = net.line[net.line.in_service]
    links = [
        (f"b{a}", f"b{b}", float(ohm * km / parallel))
        for a, b, ohm, km, parallel in zip(
            lines.from_bus, lines.to_bus, lines.r_ohm_per_km, lines.length_km, lines.parallel, strict=True
        )
    ]
    loads: dict[str, list[NodeLoad]] = {}
    for bus, mw, scaling in zip(net.load.bus, net.load.p_mw, net.load.scaling, strict=True):
        loads.setdefault(f"b{bus}", []).append(NodeLoad(power_w=1e6 * float(mw) * float(scaling)))
    ((bus, per_unit),) = zip(net.ext_grid.bus, net.ext_grid.vm_pu, strict=True)
    return Net(sources={f"b{bus}": float(per_unit) * volts[bus]}, links=links, loads=loads)


@pytest.mark.parametrize(("name", "nodes"), FEEDERS.items())
def test_published_feeders_settle_at_the_librarys_voltages(name: str, nodes: int) -> None:
    net = without_reactance(name)
    flow = solve(ours(net))
    assert flow.status is FlowStatus.SOLVED
    theirs = {
        f"b{bus}": 1000 * float(net.bus.vn_kv[bus]) * float(net.res_bus.vm_pu[bus]) for bus in net.bus.index
    }
    assert len(flow.voltages_v) == nodes
    assert min(flow.voltages_v.values()) < 0.9999 * max(flow.voltages_v.values())  # the feeder is loaded
    for bus, volts in flow.voltages_v.items():
        assert volts == pytest.approx(theirs[bus], rel=AGREEMENT), bus
    assert flow.loss_w == pytest.approx(1e6 * float(net.res_line.pl_mw.sum()), rel=1e-5)
