"""Close of day: the check list and the usage sheet."""
