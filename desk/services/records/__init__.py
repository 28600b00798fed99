"""The records as a whole: copying them, and bringing them back."""
