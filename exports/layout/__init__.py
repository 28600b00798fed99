"""How a table is laid out and looks on a sheet."""
