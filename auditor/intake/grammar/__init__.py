"""How a cell is read: numbers, units, lengths, powers, yes and no."""
