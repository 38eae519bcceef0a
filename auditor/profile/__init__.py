"""Profiles: the limits that a kind of bus sets."""
