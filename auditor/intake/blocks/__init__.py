"""A sheet cut into tables and lines: every non-empty cell is in exactly one of them."""
