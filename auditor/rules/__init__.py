"""The rules, one a file, listed by hand. A rule looks at a `Bus` and its `Plans` and yields findings.

Each module's docstring is its manual page; `NAME` is the rule's name, `SCOPE` what its findings count
for and `check` its body.
"""

from collections.abc import Callable, Iterator

from auditor.bus.measure import Bus
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Scope
from auditor.rules import (
    cable_spec,
    capacitance,
    cut_list,
    device_count,
    double_entry,
    joined_ports,
    loop,
    missing_value,
    port_plan,
    port_use,
    power,
    reach,
    run_length,
    separation,
    spare_return,
    unfed,
    unknown_end,
    unreadable_value,
    voltage,
)

Check = Callable[[Bus, Plans], Iterator[Finding]]

MODULES = (
    run_length,
    reach,
    device_count,
    power,
    voltage,
    capacitance,
    cable_spec,
    double_entry,
    loop,
    joined_ports,
    unfed,
    unknown_end,
    port_use,
    missing_value,
    unreadable_value,
    separation,
    spare_return,
    port_plan,
    cut_list,
)

RULES: dict[str, Check] = {module.NAME: module.check for module in MODULES}
SCOPES: dict[str, Scope] = {module.NAME: module.SCOPE for module in MODULES}
