"""Word to whoever asked for it: when a racquet is ready, changed or late."""
