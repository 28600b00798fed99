"""How good plans are: beside rivals, after changes, and made in other ways."""
