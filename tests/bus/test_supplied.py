"""What a controller's ports give: source volts times current, for every kind of load."""

import pytest

from auditor.bus.measure import measure
from tests.builders import device, job, profile, pull

OHM = 2 * 4.99 * 0.5  # NEC chapter 9 table 8, 16 AWG stranded, 500 ft, both conductors at 75 degC


@pytest.mark.parametrize(
    ("kind", "amperes"),
    [
        ("constant-power", (24 - (24**2 - 4 * OHM * 12) ** 0.5) / (2 * OHM)),
        ("constant-current", 12 / 24),
        ("resistive", 24 / (OHM + 24**2 / 12)),
    ],
)
def test_a_port_gives_its_volts_times_its_current(kind: str, amperes: float) -> None:
    bus = measure(
        job([pull("C1.1", "K1", 500)], [device("K1", 12.0, load=kind)]),
        profile(conductor_temperature="75 degC"),
    )
    (state,) = bus.controllers
    assert state.supplied_w == pytest.approx(24 * amperes, rel=1e-6)


def test_a_run_that_cannot_be_solved_gives_what_its_devices_draw() -> None:
    (state,) = measure(job([pull("C1.1", "K1", 2000)], [device("K1", 34.0)]), profile()).controllers
    assert state.supplied_w == 34.0
