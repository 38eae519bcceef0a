"""The house look of a sheet."""
