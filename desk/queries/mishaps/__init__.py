"""Mishaps: what went wrong, with what may have the same fault, and what one shift tells the next."""
