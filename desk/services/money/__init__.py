"""Money: prices, charges, payments."""
