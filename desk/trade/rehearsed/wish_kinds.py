"""What can be wished about a player's stringer: with or not with a stringer, or another player's."""

from __future__ import annotations

WITH, NOT_WITH = "with", "not_with"
KINDS = {WITH: "with", NOT_WITH: "not with"}
"""Each kind in words, between the player and whom the wish names."""
