"""What a field is called where people read and write it; inside, every quantity carries its unit."""

from collections.abc import Mapping

WORD_OF_FIELD: Mapping[str, str] = {
    "id": "pull id",
    "near": "from",
    "far": "to",
    "length_m": "length",
    "cable": "cable type",
    "power_w": "power",
    "total_power_w": "total power",
    "quantity": "qty",
    "at_voltage_v": "at voltage",
    "min_voltage_v": "min voltage",
    "head_end": "head end",
    "mains_parallel_m": "distance to mains",
    "mains_crossing_deg": "crossing angle",
    "on_shelf": "on shelf",
    "loudspeaker_parallel": "alongside loudspeaker cable",
    "supply_voltage_v": "supply voltage",
    "idle_w": "idle power",
    "start_w": "start-up power",
    "supply_power_w": "supply power",
    "stock_length_m": "stock length",
    "conduit_length_m": "conduit length",
    "part_length_m": "part of the length",
    "distance_m": "distance from the port",
    "start_mark_m": "start mark",
    "end_mark_m": "end mark",
    "near_terminal": "from terminal",
    "far_terminal": "to terminal",
    "near_place": "from room",
    "far_place": "to room",
    "capacitance_nf_per_m": "capacitance",
    "insulation_v": "insulation voltage",
    "fire_rating": "fire rating",
    "ohm_per_km": "resistance",
    "profile_name": "bus profile",
    "job_name": "job name",
    "allowance_per_end_m": "allowance per end",
    "length_unit": "length unit",
}
UNNAMED_CABLE = "cable not stated"  # stands for the cable of pulls that name none
_NOUN_OF_FIELD: Mapping[str, str] = {  # where the word is a heading, and no noun for a sentence
    "quantity": "quantity",
    "load": "load type",
    "min_voltage_v": "lowest voltage",
    "at_voltage_v": "voltage",
    "mains_parallel_m": "distance from mains",
    "loudspeaker_parallel": "loudspeaker entry",
    "area_mm2": "gauge",
    "conductors": "number of conductors",
    "stranded": "stranding",
    "shielded": "shield",
    "coated": "coating",
    "ports": "number of ports",
    "on_shelf": "stock",
}
FIELD_OF_WORD: Mapping[str, str] = {word: field for field, word in WORD_OF_FIELD.items()}


def word_of(field: str) -> str:
    """The field's word; most are their own."""
    return WORD_OF_FIELD.get(field, field)


def noun_of(field: str) -> str:
    """The field's name inside a sentence: "the {noun} of K1"."""
    return _NOUN_OF_FIELD.get(field) or word_of(field)
