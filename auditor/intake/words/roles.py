"""What the words of a longer heading speak for together, in any language: `From Device`, `Ziel Raum`.

Each word belongs to groups (the `tokens` of the vocabulary). The first group of `RULES` that a heading
has is its head, as a length is what «conduit length» speaks of; the first of the head's cases whose groups
are all there says the fields. A field is named with its share of the strength, the likeliest first.
"""

from collections.abc import Mapping, Sequence

Case = tuple[frozenset[str], Mapping[str, float]]
OTHER = "other"  # no field: the heading speaks for another matter, such as a price's currency


def _cases(*cases: tuple[str, str]) -> tuple[Case, ...]:
    return tuple((frozenset(groups.split()), _shares(fields)) for groups, fields in cases)


def _shares(fields: str) -> dict[str, float]:
    """`near_place room:0.8` as a mapping; no number means 1."""
    pairs = (field.partition(":") for field in fields.split())
    return {field: float(share or 1) for field, _, share in pairs}


RULES: Mapping[str, Sequence[Case]] = {
    "other": _cases(("conduit length", "conduit_length_m"), ("", OTHER)),
    "catalogue": _cases(("number", OTHER), ("description", "description:0.8"), ("", OTHER)),
    "date": _cases(("", "date")),
    "price": _cases(("", "price cost")),
    "note": _cases(("", "note")),
    "mark": _cases(
        ("near", "start_mark_m"), ("start", "start_mark_m"), ("far", "end_mark_m"), ("endpoint", "end_mark_m"),
        ("cable", "id"), ("item", "tag"), ("", "tag:0.7 id:0.7"),
    ),
    "angle": _cases(("", "mains_crossing_deg")),
    "mains": _cases(("length", "mains_parallel_m"), ("", OTHER)),
    "length": _cases(
        ("speaker", "loudspeaker_parallel"), ("conduit", "conduit_length_m"), ("part", "part_length_m"),
        ("cumulative", "distance_m"), ("previous", "length_m"), ("near port", "distance_m"),
        ("near controller", "distance_m"), ("far port", "distance_m"), ("far controller", "distance_m"),
        ("stock", "stock_length_m length_m:0.8"), ("drum", "stock_length_m length_m:0.8"),
        ("near mark", "start_mark_m"), ("near endpoint", "part_length_m:0.8 length_m:0.7"), ("", "length_m"),
    ),
    "part": _cases(("", "part_length_m")),
    "cumulative": _cases(("power", "total_power_w"), ("quantity", OTHER), ("", "distance_m")),
    "resistance": _cases(("", "ohm_per_km")),
    "capacitance": _cases(("", "capacitance_nf_per_m")),
    "insulation": _cases(("", "insulation_v")),
    "speaker": _cases(("", "loudspeaker_parallel")),
    "power": _cases(
        ("total", "total_power_w"), ("idle", "idle_w"), ("inrush", "start_w"), ("near", "start_w:0.7"),
        ("voltage", "at_voltage_v:0.7"), ("supply", "supply_power_w power_w:0.7"), ("controller", "supply_power_w"),
        ("type", "load:0.8"), ("", "power_w supply_power_w:0.9"),
    ),
    "voltage": _cases(
        ("minimum", "min_voltage_v"), ("supply", "supply_voltage_v at_voltage_v"), ("controller", "supply_voltage_v"),
        ("cable", "insulation_v"), ("", "at_voltage_v insulation_v supply_voltage_v"),
    ),
    "quantity": _cases(
        ("port", "ports"), ("terminal", "ports"), ("core", "conductors"), ("shelf", "on_shelf"), ("drum", "on_shelf"),
        ("", "quantity on_shelf:0.8"),
    ),
    "shelf": _cases(("", "on_shelf")),
    "gauge": _cases(("", "gauge cable:0.8")),
    "stranded": _cases(("", "stranded")),
    "shielded": _cases(("", "shielded")),
    "coated": _cases(("", "coated")),
    "status": _cases(("", "status")),
    "core": _cases(("number quantity", "conductors"), ("type", "cable:0.8"), ("gauge", "gauge"), ("", "core conductors:0.8")),
    "sequence": _cases(("", "sequence")),
    "slot": _cases(("type", "description:0.7"), ("", "slot")),
    "terminal": _cases(
        ("near", "near_terminal"), ("far", "far_terminal"), ("first", "near_terminal:0.8"),
        ("second", "far_terminal:0.8"), ("controller", "port"), ("", "port near_terminal:0.9 far_terminal:0.9"),
    ),
    "port": _cases(
        ("near", "near_terminal port:0.95"), ("far", "far_terminal port:0.6"), ("first", "near_terminal:0.8"),
        ("second", "far_terminal:0.8"), ("description", "description:0.8"), ("type", "description:0.8"),
        ("", "port near_terminal:0.8 far_terminal:0.7"),
    ),
    "revision": _cases(("", "revision")),
    "symbol": _cases(("", "symbol")),
    "level": _cases(("", "level")),
    "load": _cases(("number", "tag:0.7"), ("", "load")),
    "type": _cases(
        ("cable", "cable"), ("near", "type:0.8 near:0.75"), ("far", "type far:0.75"), ("item", "type"), ("controller", "type:0.9"),
        ("terminal", OTHER), ("", "type cable:0.9"),
    ),
    "description": _cases(("cable", "cable:0.7 description"), ("place", "room"), ("", "description type:0.7")),
    "floor": _cases(("near", "near_place floor:0.7"), ("far", "far_place floor:0.8"), ("", "floor")),
    "scope": _cases(("near", "near_place scope:0.7"), ("far", "far_place scope:0.8"), ("", "scope")),
    "place": _cases(
        ("near", "near_place room:0.7"), ("far", "far_place room:0.85"), ("controller", "head_end"),
        ("drum", OTHER), ("", "room head_end:0.9"),
    ),
    "system": _cases(("", "system")),
    "drum": _cases(("number", "drum"), ("", "drum:0.9")),
    "item": _cases(
        ("near", "near"), ("far", "far"), ("previous", "near"), ("first", "near:0.9"), ("second", "far:0.9"),
        ("cable", "id"), ("controller", "controller name"), ("load", "tag"), ("", "tag name:0.9"),
    ),
    "controller": _cases(("near", "near controller:0.8"), ("far", "far"), ("", "controller name")),
    "previous": _cases(("", "near")),
    "endpoint": _cases(
        ("near", "near"), ("far", "far"), ("first", "near"), ("second", "far"), ("", "far:0.7"),
    ),
    "cable": _cases(("number", "id"), ("near", "near:0.8"), ("far", "far:0.8"), ("", "cable id:0.9")),
    "near": _cases(("far", ""), ("", "near")),
    "far": _cases(("", "far")),
    "chain": _cases(("number", "id"), ("", "chain id:0.8")),
    "total": _cases(("", "length_m:0.7 total_power_w:0.7")),
    "number": _cases(("", "id:0.7 tag:0.7")),
}  # fmt: skip
ALONE = frozenset({"near", "far", "number", "total", "endpoint"})  # heads that say little in a longer text
