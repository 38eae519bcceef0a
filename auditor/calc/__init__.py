"""Numbers in, numbers out: conductors, voltages, port plans, cut lists. No spreadsheet, no graph object."""
