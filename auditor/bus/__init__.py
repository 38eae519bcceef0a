"""A job measured: what every run and controller uses."""
