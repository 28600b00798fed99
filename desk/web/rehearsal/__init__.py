"""Rehearsal: an event played many times before it, by several teams."""
