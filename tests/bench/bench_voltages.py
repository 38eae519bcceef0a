"""Our load flow beside a sparse Newton solve (scipy) and power-grid-model, on the same nets, in one run.

«whole»: from the named net to named voltages. «solve»: from numbered arrays to numbered voltages. The
sparse Newton factors with the fastest column ordering of those that its library offers.
"""

import random
import statistics
import time

import numpy as np
from scipy.sparse import coo_matrix, csc_matrix, diags
from scipy.sparse.linalg import splu

from auditor.calc.volts.fed_net import FedNet
from auditor.calc.volts.flow import FlowStatus, _newton, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad

LOADED = 0.75  # of the collapse point: the lowest voltage is then about 75 % of the source's
ORDERINGS = ("COLAMD", "MMD_AT_PLUS_A", "NATURAL")


def tree(n, depth, seed=1, mixed=False):
    """A random tree of about this depth, loaded to `LOADED` of what it can carry.

    `mixed`: its links in no order, half of them from the far end; else each leads from a fed node to a new
    one, as schedules are mostly written.
    """
    draw = random.Random(seed)
    width = max(1, n // depth)
    links = [
        (f"n{max(0, i - width - draw.randrange(width))}", f"n{i}", draw.uniform(0.05, 0.5))
        for i in range(1, n + 1)
    ]
    loads = {f"n{i}": [NodeLoad(power_w=draw.uniform(0.1, 1))] for i in range(1, n + 1)}
    if mixed:
        links = [(b, a, ohm) if draw.random() < 0.5 else (a, b, ohm) for a, b, ohm in links]
        draw.shuffle(links)
    net = Net(sources={"n0": 24.0}, links=links, loads=loads)
    if n <= 1000:
        return net.scaled(LOADED * max_deliverable_factor(net))
    factor = 1.0
    while solve(net.scaled(factor)).status is not FlowStatus.SOLVED:
        factor /= 1.3
    return net.scaled(LOADED * factor)


def numbered(net):
    """Conductance matrix, source currents and powers of the nodes behind the one source."""
    (source,) = net.sources
    names = [name for name in net.loads if name != source]
    number = {name: i for i, name in enumerate(names)}
    number[source] = len(names)
    a = np.array([number[a] for a, _, _ in net.links])
    b = np.array([number[b] for _, b, _ in net.links])
    g = 1 / np.array([ohm for _, _, ohm in net.links])
    n = len(names)
    rows, columns = np.concatenate([a, b, a, b]), np.concatenate([b, a, a, b])
    full = coo_matrix((np.concatenate([-g, -g, g, g]), (rows, columns)), shape=(n + 1, n + 1)).tocsc()
    pushed_a = -full[:n, n].toarray().ravel() * net.sources[source]
    power_w = np.array([sum(load.power_w for load in net.loads[name]) for name in names])
    return names, csc_matrix(full[:n, :n]), pushed_a, power_w


def sparse_newton(matrix, pushed_a, power_w, source_v, ordering):
    volts = np.full(len(power_w), source_v)
    for _ in range(100):
        missing_a = matrix @ volts - pushed_a + power_w / volts
        slope = (matrix - diags(power_w / volts**2)).tocsc()
        step_v = splu(slope, permc_spec=ordering).solve(missing_a)
        volts = volts - step_v
        if np.max(np.abs(step_v)) <= 1e-9 * source_v:
            return volts
    raise ArithmeticError("the reference did not settle")


def whole_sparse_newton(net, ordering):
    names, matrix, pushed_a, power_w = numbered(net)
    volts = sparse_newton(matrix, pushed_a, power_w, 24.0, ordering)
    return dict(zip(names, volts.tolist(), strict=True))


def grid_model(net):
    """power-grid-model's own time to solve, model made beforehand."""
    import power_grid_model as pgm

    names = list(dict.fromkeys([*net.sources, *net.loads]))
    number = {name: i for i, name in enumerate(names)}
    n, m = len(names), len(net.links)

    def table(component, **fields):
        array = pgm.initialize_array("input", component, len(fields["id"]))
        for name, values in fields.items():
            array[name] = values
        return array

    loads = [(number[name], load.power_w) for name, at in net.loads.items() for load in at]
    model = pgm.PowerGridModel(
        {
            "node": table("node", id=range(n), u_rated=24.0),
            "line": table(
                "line",
                id=range(n, n + m),
                from_node=[number[a] for a, _, _ in net.links],
                to_node=[number[b] for _, b, _ in net.links],
                **{"from_status": 1, "to_status": 1, "x1": 0.0, "c1": 0.0, "tan1": 0.0},
                r1=[ohm for _, _, ohm in net.links],
            ),
            "source": table("source", id=[n + m], node=[number["n0"]], status=1, u_ref=1.0, sk=1e15),
            "sym_load": table(
                "sym_load",
                id=range(n + m + 1, n + m + 1 + len(loads)),
                node=[node for node, _ in loads],
                **{"status": 1, "type": 0, "q_specified": 0.0},
                p_specified=[watts for _, watts in loads],
            ),
        }
    )
    return lambda: model.calculate_power_flow(error_tolerance=1e-9, max_iterations=50)


def seconds(*functions, rounds):
    """Median CPU time of each, measured in turns so that a disturbance hits all alike."""
    taken = [[] for _ in functions]
    for _ in range(rounds):
        for times, function in zip(taken, functions, strict=True):
            start = time.process_time()
            function()
            times.append(time.process_time() - start)
    return [statistics.median(times) for times in taken]


def compare(n, depth, rounds, mixed=False):
    net = tree(n, depth, mixed=mixed)
    names, matrix, pushed_a, power_w = numbered(net)
    grid = FedNet.of(net)
    trials = [lambda o=o: sparse_newton(matrix, pushed_a, power_w, 24.0, o) for o in ORDERINGS]
    ordering = ORDERINGS[int(np.argmin(seconds(*trials, rounds=max(1, rounds // 5))))]
    flow, reference = solve(net), whole_sparse_newton(net, ordering)
    apart_v = max(abs(flow.voltages_v[name] - reference[name]) for name in names)
    whole, whole_ref, ours, ref, model = seconds(
        lambda: solve(net),
        lambda: whole_sparse_newton(net, ordering),
        lambda: _newton(grid, 1.0),
        lambda: sparse_newton(matrix, pushed_a, power_w, 24.0, ordering),
        grid_model(net),
        rounds=rounds,
    )
    print(
        f"{n:6d} devices, depth {depth:5d}{', mixed' * mixed}: whole {whole / whole_ref:.2f}, solve {ours / ref:.2f} of sparse "
        f"Newton ({ordering}); solve {ours / model:.2f} of power-grid-model; lowest {flow.lowest_v:.1f} V, "
        f"{flow.steps} steps, {apart_v:.0e} V apart   [{whole * 1e3:.2f} / {whole_ref * 1e3:.2f}, "
        f"{ours * 1e3:.2f} / {ref * 1e3:.2f}, {model * 1e3:.2f} ms]"
    )
    return whole


def main():
    print(
        "our load flow; targets: 120 devices at most 0.30, 60,000 nodes whole at most 0.60 of a sparse Newton solve"
    )
    compare(120, 12, 101)
    compare(120, 120, 101)
    compare(600, 36, 31)
    sizes = [1000, 4000, 16_000, 60_000]
    times = [compare(n, 30, 5) for n in sizes]
    compare(60_000, 2900, 5)
    compare(60_000, 30, 5, mixed=True)
    compare(60_000, 2900, 5, mixed=True)
    power = np.polyfit(np.log(sizes), np.log(times), 1)[0]
    print(f"growth of the whole with the number of devices n, fitted: n^{power:.2f} (linear: 1.00)")


if __name__ == "__main__":
    main()
