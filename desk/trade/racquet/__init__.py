"""What a racquet is and what strings it: frame, bed, string, tension, the figures they may have."""
