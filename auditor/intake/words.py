"""What a field is called where people read it."""

from collections.abc import Mapping

WORD_OF_FIELD: Mapping[str, str] = {
    "id": "pull id", "near": "from", "far": "to", "length_m": "length", "cable": "cable type", "power_w": "power", "total_power_w": "total power",
    "quantity": "qty", "at_voltage_v": "at voltage", "min_voltage_v": "min voltage", "head_end": "head end",
    "mains_parallel_m": "distance to mains", "mains_crossing_deg": "crossing angle", "on_shelf": "on shelf",
    "loudspeaker_parallel": "alongside loudspeaker cable", "supply_voltage_v": "supply voltage", "idle_w": "idle power", "start_w": "start-up power",
    "supply_power_w": "supply power", "capacitance_nf_per_m": "capacitance", "insulation_v": "insulation voltage",
    "ohm_per_km": "resistance",
}  # fmt: skip
