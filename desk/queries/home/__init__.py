"""Home: what needs somebody now, the first steps, the log."""
