"""Racquets that have not come yet: what a plan gives up for them, and the gaps that it leaves them."""
