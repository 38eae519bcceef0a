"""Voltages of a net of two-wire pulls."""
