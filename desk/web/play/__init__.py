"""Play: the order of play, live, and by when its players need their racquets."""
