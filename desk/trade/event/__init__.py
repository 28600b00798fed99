"""What belongs to the whole event: its time, settings, money, names."""
