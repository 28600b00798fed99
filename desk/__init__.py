"""The stringing desk application."""
