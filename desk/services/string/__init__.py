"""String: reels and sets, what is cut from them, what runs out."""
