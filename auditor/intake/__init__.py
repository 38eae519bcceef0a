"""Any spreadsheet file to a Job: the only code that reads spreadsheets."""

from auditor.intake.explain import choose_layout, explain
from auditor.intake.job import read_job, read_jobs
from auditor.intake.layout import Layout, read_layout, write_layout
from auditor.intake.own_headings import merged, read_headings
from auditor.intake.words import OwnHeadings

__all__ = [
    "Layout",
    "OwnHeadings",
    "choose_layout",
    "explain",
    "merged",
    "read_headings",
    "read_job",
    "read_jobs",
    "read_layout",
    "write_layout",
]
