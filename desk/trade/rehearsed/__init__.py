"""An event as it may go: matches drawn, racquets dropped off, rain and failures, by a number that is kept."""
