"""Serving the desk: the web server, the planner beside it, their log."""
