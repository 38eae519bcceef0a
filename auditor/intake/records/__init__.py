"""Records out of tables: devices, pulls, cables, controllers, each value with its cell."""
