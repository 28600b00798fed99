"""The compiled part of the search: a plan in flat memory, and moves on it."""
