"""How long a port plan takes to its proof: 40 branches with 120 devices at one head end, 20 seeds each."""

import random
import resource
import statistics
import time

from auditor.calc.ports.plan import PortPlan, port_plan
from auditor.calc.ports.problem import Branch, PlanController, PlanPort, PortLimits, PortProblem
from auditor.units import m_from_ft

SEEDS = 20
BRANCHES, DEVICES = 40, 120
LIMITS = PortLimits(
    cable_m=m_from_ft(2000), devices=50, power_w=None, reach_m=m_from_ft(1000), off_spec_factor=0.5
)


def controller(name: str) -> PlanController:
    return PlanController(name=name, ports=("1", "2"), power_w=35.0, devices=100)


def job(seed: int, scheduled: bool, off_spec: float, longest_ft: int = 700) -> PortProblem:
    """Invented branches; `scheduled`: as someone in a hurry fills the ports, by cable alone."""
    chance = random.Random(seed)
    lengths = [m_from_ft(chance.randint(60, longest_ft)) for _ in range(BRANCHES)]
    devices = [DEVICES // BRANCHES] * BRANCHES
    for _ in range(BRANCHES):
        giver, taker = chance.sample(range(BRANCHES), 2)
        if devices[giver] > 1:
            devices[giver], devices[taker] = devices[giver] - 1, devices[taker] + 1
    power = [sum(chance.choice((0.4, 0.6, 1.0, 1.5)) for _ in range(n)) for n in devices]
    ports, port, full = list[PlanPort | None](), 0, 0.0
    for length in lengths:
        full = full + length if full + length <= m_from_ft(2150) else length
        port += full == length
        ports.append(PlanPort(f"C{(port + 1) // 2}", str(2 - port % 2)) if scheduled else None)
    names = sorted({p.controller for p in ports if p}, key=lambda name: int(name[1:]))
    return PortProblem(
        branches=tuple(
            Branch(
                id=f"B{n}",
                cable_m=lengths[n],
                devices=devices[n],
                power_w=power[n],
                reach_m=min(lengths[n], m_from_ft(1000)) * 0.6,
                off_spec=chance.random() < off_spec,
                port=ports[n],
            )
            for n in range(BRANCHES)
        ),
        controllers=tuple(controller(name) for name in names),
        new_controllers=tuple(controller(f"N{n}") for n in range(1, BRANCHES + 1)),
        limits=LIMITS,
    )


def report(name: str, scheduled: bool, off_spec: float) -> None:
    seconds, plans = [], list[PortPlan]()
    for seed in range(SEEDS):
        problem = job(seed, scheduled, off_spec)
        start = time.perf_counter()
        plans.append(port_plan(problem))
        seconds.append(time.perf_counter() - start)
    proven = sum(plan.status == "proven" for plan in plans)
    balanced = sum(plan.balanced for plan in plans)
    moved = sum(plan.moved for plan in plans) / SEEDS
    print(
        f"{name:34} median {statistics.median(seconds):6.2f} s   most {max(seconds):6.2f} s   "
        f"proven {proven}/{SEEDS}   balance proven {balanced}/{SEEDS}   moves {moved:.1f} in the mean"
    )


def main() -> None:
    report("scheduled in a hurry", True, 0.0)
    report("scheduled, one in ten off-spec", True, 0.1)
    report("not scheduled", False, 0.0)
    report("not scheduled, one in ten off-spec", False, 0.1)
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()
