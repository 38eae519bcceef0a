"""Questions whose answers say what a table lists and which of its columns hold what."""
