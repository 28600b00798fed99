"""The records as a whole: copies of them, and the way back."""
