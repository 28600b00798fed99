"""Players: who they are, their racquets and frames, their own page."""
