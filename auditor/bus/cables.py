"""What a cable type's properties mean for a bus: off-specification faults, and what is not known."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from auditor.calc.conductors import area_of_gauge
from auditor.job.field_words import UNNAMED_CABLE
from auditor.job.model import Cable
from auditor.profile.limits import CableSpec, Profile
from auditor.units import CAPACITANCE_NF_PER_M, exceeds, number_text

TO_SPECIFICATION = "to specification"  # stands for cable that is just what the profile asks for
UNNAMED = UNNAMED_CABLE  # stands for the cable of pulls that name none
SAME_AREA = 0.025  # project convention: 1.28 mm2 is sold as 16 AWG (1.31 mm2)


@dataclass(frozen=True, slots=True, kw_only=True)
class CableState:
    """One cable type, judged."""

    name: str
    cable: Cable
    faults: tuple[str, ...]  # each a phrase: "18 AWG where 16 AWG or thicker is asked for"
    gaps: tuple[str, ...]  # properties that the schedule does not state
    insulation_low: bool  # one of the faults, and no limit that is cut mends it

    @property
    def conductor_known(self) -> bool:
        """Whether its resistance can be told: by its size, or by its own data sheet."""
        return self.cable.area_mm2 is not None or self.cable.ohm_per_km is not None

    @property
    def off_spec(self) -> bool | None:
        """None: cannot be judged, since something is not stated."""
        return True if self.faults else None if self.gaps else False


def cable_state(cable: Cable, profile: Profile) -> CableState:
    """A cable type against the profile's specification; a gauge in AWG gets its area."""
    cable = _with_area(cable)
    return CableState(
        name=cable.name,
        cable=cable,
        faults=tuple(_spec_faults(cable, profile)),
        gaps=tuple(_unstated_properties(cable, profile.cable)),
        insulation_low=_insulation_low(cable, profile.cable),
    )


def to_specification(name: str, profile: Profile) -> Cable:
    """A cable type that is just what the profile asks for."""
    spec = profile.cable
    return Cable(
        name=name,
        area_mm2=spec.min_area_mm2,
        gauge=spec.min_conductor,
        conductors=spec.conductors,
        stranded=spec.stranded,
        shielded=spec.shielded,
        capacitance_nf_per_m=spec.max_capacitance_nf_per_m,
        insulation_v=spec.min_insulation_v,
    )


def spec_text(cable: Cable, length_unit: str) -> str:
    """What the schedule states of a cable, in one line; empty where it states nothing."""
    stated = (
        cable.gauge or (f"{number_text(cable.area_mm2, 2)} mm²" if cable.area_mm2 else ""),
        f"{cable.conductors} conductors" if cable.conductors else "",
        {True: "stranded", False: "solid", None: ""}[cable.stranded],
        {True: "shielded", False: "unshielded", None: ""}[cable.shielded],
        "tinned" if cable.coated else "",
        per_length_text(cable.capacitance_nf_per_m, length_unit) if cable.capacitance_nf_per_m else "",
        f"{cable.insulation_v:g} V" if cable.insulation_v else "",
        f"fire rating {cable.fire_rating}" if cable.fire_rating else "",
    )
    return ", ".join(part for part in stated if part)


def cable_text(name: str) -> str:
    """A cable type inside a sentence."""
    return "the unnamed cable" if name == UNNAMED else f"cable {name}"


def gauge_text(cable: Cable) -> str:
    """The conductor as the schedule writes it; a diameter with its area beside it."""
    area = f"{number_text(cable.area_mm2, 2)} mm²" if cable.area_mm2 else ""
    if cable.gauge and area and cable.gauge.endswith(" mm"):
        return f"{cable.gauge} diameter ({area})"
    return cable.gauge or area or "gauge not stated"


def per_length_text(capacitance_nf_per_m: float, length_unit: str) -> str:
    unit = "pF/ft" if length_unit == "ft" else "pF/m"
    return f"{number_text(capacitance_nf_per_m / CAPACITANCE_NF_PER_M[unit])} {unit}"


def _with_area(cable: Cable) -> Cable:
    area_mm2 = None if cable.area_mm2 is not None else area_of_gauge(cable.gauge or "")
    return cable if area_mm2 is None else replace(cable, area_mm2=area_mm2)


def _spec_faults(cable: Cable, profile: Profile) -> Iterator[str]:
    spec, unit = profile.cable, profile.length_unit
    if (
        spec.min_area_mm2 is not None
        and cable.area_mm2 is not None
        and cable.area_mm2 < spec.min_area_mm2 * (1 - SAME_AREA)
    ):
        least = (spec.min_conductor or "").replace("mm2", "mm²")
        yield f"{gauge_text(cable)} where {least} or thicker is asked for"
    if spec.conductors is not None and cable.conductors not in (None, spec.conductors):
        yield f"{cable.conductors} conductors where {spec.conductors} are asked for"
    if spec.stranded is not None and cable.stranded not in (None, spec.stranded):
        yield "stranded where solid is asked for" if cable.stranded else "solid where stranded is asked for"
    if spec.shielded is not None and cable.shielded not in (None, spec.shielded):
        yield (
            "shielded where unshielded is asked for" if cable.shielded else "no shield where one is asked for"
        )
    capacitance, most = cable.capacitance_nf_per_m, spec.max_capacitance_nf_per_m
    if most is not None and capacitance is not None and exceeds(capacitance, most, "nF/m"):
        yield f"{per_length_text(capacitance, unit)} where at most {per_length_text(most, unit)} is asked for"
    if _insulation_low(cable, spec):
        yield f"{cable.insulation_v:g} V insulation where {spec.min_insulation_v:g} V is asked for"


def _insulation_low(cable: Cable, spec: CableSpec) -> bool:
    wanted_v, stated_v = spec.min_insulation_v, cable.insulation_v
    return wanted_v is not None and stated_v is not None and stated_v < wanted_v


def _unstated_properties(cable: Cable, spec: CableSpec) -> Iterator[str]:
    asked = (
        (spec.min_area_mm2, cable.area_mm2, "gauge"),
        (spec.conductors, cable.conductors, "number of conductors"),
        (spec.stranded, cable.stranded, "stranding"),
        (spec.shielded, cable.shielded, "shield"),
        (spec.max_capacitance_nf_per_m, cable.capacitance_nf_per_m, "capacitance"),
        (spec.min_insulation_v, cable.insulation_v, "insulation voltage"),
    )
    for wanted, stated, name in asked:
        if wanted is not None and stated is None:
            yield name
