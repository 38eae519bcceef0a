"""The summary workbook of many jobs."""
