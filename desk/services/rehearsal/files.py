"""Racquets in event files, as they were seen: by their cards, and the match for which each was brought."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Player
from desk.queries.play.play_records import clock_of, play_matches, read_play
from desk.queries.rehearsal.seen import Cards, SeenDays, next_match_of
from desk.services.counter.scripted_forms import Codes
from desk.services.event_files import EventScript
from desk.trade.play.play import PlayMatch, PlaySettings
from desk.trade.play.play_order import order_play
from desk.trade.play.start_of_play import forecast
from desk.trade.rehearsed.habits import Brought


def seen_in_files(session: Session, event: Event, script: EventScript) -> SeenDays:
    """Return the racquets of the table dropoffs; EVENT is stored, its drop-offs need not be."""
    clock, cards, codes = clock_of(session, event), Cards(session, event), Codes(session, event.id)
    names = dict(session.execute(select(Player.id, Player.code).where(Player.event_id == event.id)).all())
    matches = play_matches(read_play(session, event), -1440)
    expected = {key: one.point(0.5) for key, one in forecast(matches, -1440).items()} if matches else {}
    players = {key: tuple(names[int(p)] for p in some) for key, some in _players(matches, script).items()}
    frames = {one.code: one for one in session.scalars(select(Frame).where(Frame.event_id == event.id))}
    found = []
    for visit in script.drop_offs:
        at = clock.to_minutes(visit.at)
        day = (clock.day_of(at) - clock.first_day).days
        for racquet in visit.racquets:
            for_practice = racquet.needed_by_kind != "match" and not racquet.on_court
            brought = Brought(
                player=visit.player_code,
                at_min=at,
                day=day,
                match=None if for_practice else next_match_of(visit.player_code, at, expected, players),
                on_court=racquet.on_court,
                for_practice=for_practice,
            )
            found.append(cards.seen(codes.card(racquet), frames[racquet.frame_code], brought))
    return SeenDays(racquets=found, players_of=players)


def _players(matches: tuple[PlayMatch, ...], script: EventScript) -> Mapping[str, tuple[str, ...]]:
    """Return who plays each match: winners as the files say, else the first side, as in a day played from files."""
    if not matches:
        return {}
    second = {one.which for one in script.incidents if one.winner_side == 2}
    found: dict[str, tuple[str, ...]] = {}
    for match in order_play(matches, PlaySettings()).matches:
        players = match.players
        for feeder in match.feeders:
            both = found.get(feeder, ())
            half = max(1, len(both) // 2)
            players += both[half:] if feeder in second else both[:half]
        found[match.key] = players
    return found
