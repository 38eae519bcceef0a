"""What a workbook states of one job."""
