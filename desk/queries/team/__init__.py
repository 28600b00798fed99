"""The team: who strings when, and who may sign in."""
