"""Any spreadsheet file to a Job: the only code that reads spreadsheets."""

from auditor.intake.job import read_job

__all__ = ["read_job"]
