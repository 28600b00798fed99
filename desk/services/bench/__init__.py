"""The bench: one racquet started, strung, checked, finished or strung again."""
