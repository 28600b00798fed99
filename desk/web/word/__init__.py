"""Asking for word and ending it, on a person's own page and at the desk; what was sent."""
