"""Tables of the event files: the columns of each."""
