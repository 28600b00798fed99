"""An event played without a screen, through the same services that the desk uses, on nominal durations.

Racquets take the planned minutes, matches their median length, and players fetch what is ready ten
minutes after the promised time. Nothing here is random: the same files give the same day.
"""

from desk.services.played_day.player import DayPlayer, Step
from desk.services.played_day.script_steps import play_so_far
