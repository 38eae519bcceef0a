"""Ports that only the device list states."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.intake.names.ends import Ends
from auditor.intake.names.spelling import spelling
from auditor.intake.said import reading
from auditor.job.model import Device, Pull, Remark


def with_device_ports(
    pulls: Sequence[Pull], devices: Sequence[Device], ends: Ends, remarks: list[Remark]
) -> list[Pull]:
    """Head ends without a port, and blank ends, take the port that the device list states for the
    device at the other end."""
    stated = {d.tag: d for d in devices if d.port}
    if not stated:
        return list(pulls)
    head_ends = set(ends.head_ends.values())
    result = []
    for pull in pulls:
        for side, other in (("near", pull.far), ("far", pull.near)):
            here, device = getattr(pull, side), stated.get(other)
            if device is not None and (here in head_ends or not here):
                port = _port_at(here, device, ends)
                if port is not None:
                    pull = replace(pull, **{side: port})  # type: ignore[arg-type]  # noqa: PLW2901
                    message = f"{pull.id} starts at {port}, as the device list says of {other}"
                    remarks.append(reading(pull.id, message, pull.where))
        result.append(pull)
    return result


def _port_at(here: str, device: Device, ends: Ends) -> str | None:
    """The port's name, unless the head end is another controller than the device's."""
    named = next((name for name in ends.controllers if here and spelling(name) == spelling(here)), None)
    controller = device.controller or named
    if controller is None or device.port is None or (named is not None and named != controller):
        return None
    return ends.port(controller, device.port)
