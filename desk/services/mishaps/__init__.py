"""Mishaps: what went wrong, what is done about it, and what one shift tells the next."""
