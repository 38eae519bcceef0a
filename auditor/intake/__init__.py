"""Any spreadsheet file to a Job: the only code that reads spreadsheets."""

from auditor.intake.explain import choose_layout, explain
from auditor.intake.job import read_job
from auditor.intake.layout import Layout, read_layout, write_layout

__all__ = ["Layout", "choose_layout", "explain", "read_job", "read_layout", "write_layout"]
