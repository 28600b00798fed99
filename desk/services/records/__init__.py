"""The records as a whole: copies of them."""
