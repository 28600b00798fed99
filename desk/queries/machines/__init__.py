"""Machines: hours in service, outages, calibration, checks by interval."""
