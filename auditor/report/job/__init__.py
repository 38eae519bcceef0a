"""Columns and sheets of one job's annotated copy."""
