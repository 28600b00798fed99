"""Cells of the event files: how each is read and what must hold between them."""
