"""Mishaps: the short form, the lead's list, and the handover of a shift."""
