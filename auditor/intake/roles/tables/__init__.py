"""All tables of a workbook understood together."""
