"""The trade's arithmetic, as pure functions."""
