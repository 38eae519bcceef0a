"""The schedule auditor: bus schedules in, audited and annotated workbooks out."""

__version__ = "0.1.0"
