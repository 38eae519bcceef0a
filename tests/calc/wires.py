"""Resistance of the wires that tests are about."""


def loop_ohm(length_m: float, ohm_per_km: float) -> float:
    """Out-and-back resistance of one two-wire pull [ohm], its length one way."""
    return 2 * length_m * ohm_per_km / 1000
