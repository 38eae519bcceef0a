"""What a device draws by its kind, from a legend."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from auditor.intake.grammar.values import is_blank, shown, words
from auditor.intake.names.spelling import spelling
from auditor.intake.records.columns import Columns
from auditor.intake.records.devices import Supply, powers_of
from auditor.intake.said import question, reading
from auditor.job.model import Device, Remark

BY = ("type", "description", "symbol")  # the fields of a device that can name its kind, the likelier first


@dataclass(frozen=True, slots=True)
class Kind:
    """One line of a legend: the power of one device [W], and the voltage at which a current was stated [V]."""

    power_w: float | None
    at_voltage_v: float | None
    system: str


def legend_of(tables: Sequence[Columns], supply: Supply) -> dict[str, Kind]:
    """kind of device, without its spelling -> what it draws."""
    found: dict[str, Kind] = {}
    for columns in tables:
        at_voltage: list[float | None] = [None] * len(columns.rows)
        powers = powers_of(columns, "power_w", at_voltage, supply)
        systems = columns.texts("system")
        for name in ("type", "description"):
            for text, power, system in zip(columns.texts(name), powers, systems, strict=True):
                if text:
                    kind = Kind(power[0] if power else None, power[1] if power else None, system or "")
                    found.setdefault(spelling(text), kind)
    return found


def with_legend(
    devices: Sequence[Device], columns: Columns, legend: dict[str, Kind]
) -> tuple[list[Device], list[Remark]]:
    """The devices with the power that their kind draws, where their own row gives none.

    Returns
    -------
    devices in the same order, and what is to be said
    """
    names = [name for name in BY if name in columns]
    if not legend or not names:
        return list(devices), []
    result, said, given = [], [], 0
    unknown: dict[str, tuple[int, str]] = {}
    has_power = "power_w" in columns or "total_power_w" in columns
    for index, device in enumerate(devices):
        texts = [text for name in names if (text := columns.texts(name)[index])]
        kind = next((legend[key] for text in texts if (key := spelling(text)) in legend), None)
        blank = not has_power or all(is_blank(columns.raw(n)[index]) for n in ("power_w", "total_power_w"))
        if device.power_w is None and blank and kind is not None and kind.power_w is not None:
            given += 1
            device = replace(device, power_w=kind.power_w, at_voltage_v=kind.at_voltage_v)  # noqa: PLW2901
        elif device.power_w is None and blank and kind is None and texts:
            unknown.setdefault(texts[0], (index, device.tag))
        result.append(device)
    if given:
        said.append(
            reading(
                "legend",
                f"the power of {given} devices is that of their kind in the legend",
                devices[0].where,
            )
        )
        for text, (index, tag) in unknown.items():
            message = (
                f"{tag} is of kind {shown(words(text))!r}, which the legend does not list: what does it draw?"
            )
            said.append(question(tag, message, columns.where(index, names[0])))
    return result, said
