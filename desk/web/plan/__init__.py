"""The plan: who strings what, where and when."""
