"""One order over many jobs."""
