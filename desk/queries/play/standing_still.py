"""Courts on which play stands still and nobody has said until when: no match on them has a time to show."""

from __future__ import annotations

from datetime import datetime

from desk.queries.play.play_records import PlayRecords, stopped_courts


def standing_still(records: PlayRecords, at: datetime) -> frozenset[tuple[int, int]]:
    """Return (day, court) by id: all that rain without a known end stops today, and those of a suspended match."""
    found: set[tuple[int, int]] = set()
    stop, awaited = records.stop_at(at), records.awaited_stop(at)
    if stop is not None and stop.resumes_at is None:
        today = records.clock.local(at).date()
        names = stopped_courts(records, stop)
        courts = [court_id for court_id, name in records.courts.items() if names is None or name in names]
        found.update(
            (day_id, court_id) for day_id, date in records.days.items() if date == today for court_id in courts
        )
    if awaited is None or awaited.resumes_at is None:
        suspended = (match for match in records.matches.values() if match.state == "suspended")
        found.update((match.day_id, match.court_id) for match in suspended)
    return frozenset(found)
