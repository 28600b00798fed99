"""The event: its name, days, hours and settings."""
