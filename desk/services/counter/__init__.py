"""The counter: racquets taken in and handed out, with their tags and cards."""
