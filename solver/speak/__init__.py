"""What a plan says in sentences: why a racquet is late and what would mend it."""
