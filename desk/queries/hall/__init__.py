"""The hall: the players' board and the runner."""
