"""Audits turned into sheets, workbooks and pages."""
