"""Plain factories with boring defaults; every name and number in them is invented.

Each takes the session, adds what it made and flushes, so that the id is there. `over` names columns
of the row itself.
"""

from tests.make.event import FIRST_DAY, ZONE, acting, make_account, make_day, make_event, moment, set_clock
from tests.make.jobs import make_card, make_drop_off, make_job, make_promise
from tests.make.play import make_court, make_match
from tests.make.players import make_contact, make_frame, make_player, make_racquet
from tests.make.string import cut, make_price, make_reel, make_string
from tests.make.team import make_machine, make_stringer
