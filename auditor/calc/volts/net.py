"""What a load flow is asked: sources, two-wire links, loads."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

LEAST_OHM = 1e-12  # below it two ends are one node
LEAST_V = 1e-6
GREATEST = 1e12  # W, A, V, S, ohm: beyond it a number is a slip of the pen, not a bus


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeLoad:
    """What one device draws at V volts: `power_w / V + current_a + siemens x V`."""

    power_w: float = 0.0
    current_a: float = 0.0
    siemens: float = 0.0

    @classmethod
    def of(cls, kind: str, power_w: float, at_voltage_v: float) -> "NodeLoad":
        """A load that draws `power_w` at `at_voltage_v`.

        Parameters
        ----------
        kind : "constant-power", "constant-current" or "resistive"
        """
        if kind == "constant-power":
            return cls(power_w=power_w)
        if not 0 < at_voltage_v < math.inf:
            raise ValueError(
                f"a current stated at {at_voltage_v:g} V says nothing; the voltage must be above zero"
            )
        if kind == "constant-current":
            return cls(current_a=power_w / at_voltage_v)
        if kind == "resistive":
            return cls(siemens=power_w / at_voltage_v**2)
        raise ValueError(f"a load is constant-power, constant-current or resistive, not {kind}")

    def times(self, factor: float) -> "NodeLoad":
        return NodeLoad(
            power_w=self.power_w * factor, current_a=self.current_a * factor, siemens=self.siemens * factor
        )

    def power_at_w(self, voltage_v: float) -> float:
        return self.power_w + self.current_a * voltage_v + self.siemens * voltage_v**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Sources, two-wire links and loads; nodes are known by their names.

    Parameters
    ----------
    sources : node -> voltage held there [V], >= 1e-6
    links : node, node, loop resistance [ohm] >= 1e-12; parallel links and loops allowed
    loads : node -> what is connected there

    Raises
    ------
    ValueError : a number that no net can have; the message is a sentence that names the node
    """

    sources: Mapping[str, float]
    links: Sequence[tuple[str, str, float]]
    loads: Mapping[str, Sequence[NodeLoad]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.sources:
            raise ValueError("nothing feeds this net; it needs a port with a voltage")
        for name, volts in self.sources.items():
            if not LEAST_V <= volts <= GREATEST:
                raise ValueError(f"{name} feeds {volts:g} V; a supply's voltage must be above zero")
        for a, b, ohm in self.links:
            if not 0 < ohm <= GREATEST:
                raise ValueError(
                    f"the pull {a} to {b} has {ohm:g} ohm; a pull's resistance must be above zero"
                )
        for name, loads in self.loads.items():
            for load in loads:
                for value, unit in ((load.power_w, "W"), (load.current_a, "A"), (load.siemens, "S")):
                    if not 0 <= value <= GREATEST:
                        raise ValueError(f"{name} draws {value:g} {unit}; no device on a bus does")

    def scaled(self, factor: float) -> "Net":
        """The same net with every load times a factor."""
        loads = {name: [load.times(factor) for load in loads] for name, loads in self.loads.items()}
        return Net(sources=self.sources, links=self.links, loads=loads)

    def constant_power_w(self) -> float:
        return sum(load.power_w for loads in self.loads.values() for load in loads)
