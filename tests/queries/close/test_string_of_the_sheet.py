"""String on the sheet: as it is bought, and by what it cost."""

from desk.models import Reel, ReelEntry
from tests import make
from tests.queries.close.ten_jobs import Bench, monday, ten_jobs


def string_from_sets(desk: Bench, mains: Reel, crosses: Reel) -> None:
    """String a racquet of Alma's with 6 m of each set."""
    job = desk.take_in(desk.players["Alma"], "17:00")
    desk.string(job, "17:10", "17:30", 0.0, labour=0)
    for reel, part in ((mains, "mains"), (crosses, "crosses")):
        cut = {"metres": -6.0, "part": part, "job_id": job.id, "kind": "use"}
        desk.session.add(ReelEntry(reel_id=reel.id, at=job.finished_at, by="bench", **cut))
    desk.session.flush()


def test_string_is_counted_as_it_is_bought(session):
    """Off the reel in metres, off sets in halves; what the players bring stands apart."""
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    string = desk.reel.string_type
    theirs = make.make_reel(session, string, kind="set", owner_id=desk.players["Alma"].id, metres=12.0)
    ours = make.make_reel(session, string, kind="set", metres=12.0)
    string_from_sets(desk, theirs, ours)
    rows = {row.owner: row for row in monday(session, event).string}
    assert (rows["desk"].reel_m, rows["desk"].sets, rows["desk"].left_sets) == (101.5, 0.5, 0.5)
    assert (rows["desk"].reels_opened, rows["desk"].sets_opened, rows["desk"].left_m) == (1, 1, 96.0)
    assert (rows["players"].reel_m, rows["players"].sets) == (0.0, 0.5)
    for row, said in ((rows["desk"], "no price known"), (rows["players"], "players’ own")):
        assert (row.opened_minor, row.used_minor, row.waste_minor, row.left_minor) == (None,) * 4
        assert row.without_price == said


def test_string_is_valued_by_what_its_reels_and_sets_cost(session):
    """200 m for 100.00 and a set of 12 m for 9.00: 101.5 m and 6 m in racquets, 2 m spoiled, 96 m and 6 m left."""
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    desk.reel.price_minor = 10_000
    ours = make.make_reel(session, desk.reel.string_type, kind="set", metres=12.0, price_minor=900)
    theirs = make.make_reel(session, desk.reel.string_type, kind="set", owner_id=desk.players["Alma"].id, metres=12.0)
    string_from_sets(desk, theirs, ours)
    row, other = monday(session, event).string
    assert row.opened_minor == 10_900
    assert row.used_minor == 5525  # 101.5 x 0.50 + 6 x 0.75
    assert row.waste_minor == 100  # 2 x 0.50
    assert row.left_minor == 5250  # 96 x 0.50 + 6 x 0.75; the half metre that measuring missed is nowhere
    assert (row.without_price, other.without_price) == ("", "players’ own")
    make.make_reel(session, desk.reel.string_type, code="R77")
    (row, _) = monday(session, event).string
    assert (row.used_minor, row.left_minor, row.without_price) == (5525, None, "R77")
