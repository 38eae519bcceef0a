"""Numbers in, numbers out: conductors, voltages, port plan, cut list. No spreadsheet, no graph object."""
