"""Who is told, what a message says, and what was sent, waits or failed."""
