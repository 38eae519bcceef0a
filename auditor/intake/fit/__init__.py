"""How well a reading hangs together, and what to ask where it does not."""
