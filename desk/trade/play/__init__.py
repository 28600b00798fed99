"""Play: how long matches last, when they start, and by when racquets are needed."""
