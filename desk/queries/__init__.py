"""Reads for a screen or a sheet: typed rows, ready to show, no writes."""
