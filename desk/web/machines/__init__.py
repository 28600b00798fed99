"""Machines: hours in service, outages, calibration."""
