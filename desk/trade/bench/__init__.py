"""Work at the bench: minutes, pace, calibration, tags, the time that is told."""
