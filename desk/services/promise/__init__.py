"""Promises: the ready time told to a player."""
