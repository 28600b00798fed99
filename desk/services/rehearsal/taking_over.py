"""Taking over from an earlier event what is known already: people, racquets, cards, string, prices, benches, team."""

from __future__ import annotations

import secrets
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import inspect, select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import (
    Event,
    EventDay,
    Frame,
    KnownCard,
    Machine,
    Player,
    PlayerWish,
    Price,
    Racquet,
    Stringer,
    StringType,
)
from desk.queries.rehearsal.earlier_event import Returning, last_cards, own_stringers, returning
from desk.services.acting import Acting, lock_event, log_change
from desk.trade.racquet.bed import HALVES
from desk.trade.rehearsed.wish_kinds import WITH

PARTS = ("players", "cards", "frames", "strings", "prices", "machines", "team")
"""What can be chosen; a card brings its frame and its strings along, a price its string, the team their benches."""
SOMEBODY_ELSE = ""
"""The answer to who it is, for a player who is nobody of those asked about."""
_OWN = {f"{word}_{of}_id" for word in ("own", "first") for of in ("stringer", "machine")}
_OF_A_CARD = (
    *("tension_unit", "pieces", "stencil", "as_fresh"),
    *(name.format(half) for name in ("own_{}", "{}_tension", "{}_pre_stretch") for half in HALVES),
)
_NOT_COPIED = {"id", "event_id", "token", "token_issued_at", "erased_at"} | _OWN


@dataclass(kw_only=True)
class TakenOver:
    """How much was taken over, by word."""

    counts: dict[str, int] = field(default_factory=dict)

    def add(self, word: str) -> None:
        self.counts[word] = self.counts.get(word, 0) + 1

    def __str__(self) -> str:
        return ", ".join(f"{word} {count}" for word, count in self.counts.items()) or "nothing new"


def take_over(
    session: Session,
    event_id: int,
    earlier_session: Session,
    earlier: Event,
    parts: Collection[str],
    answers: Mapping[str, str] | None = None,
    *,
    acting: Acting,
) -> TakenOver:
    """Take over the PARTS of an earlier event; what is here already stays as it is.

    Somebody of two spellings who was not asked about is refused: nothing is merged unasked.

    Parameters
    ----------
    answers : mapping of str to str, optional
        By the code of an earlier player whose name is like one here: the code here of the same person, or
        `SOMEBODY_ELSE`.
    """
    event = lock_event(session, event_id)
    _check(parts)
    taking = _Taking(session, event, earlier_session, earlier, acting)
    if "machines" in parts or "team" in parts:
        taking.machines()
    if "team" in parts:
        taking.team()
    taking.lists(parts)
    if "players" in parts or "cards" in parts:
        people = returning(session, event, earlier_session, earlier)
        taking.players(people, answers or {}, new="players" in parts, with_cards="cards" in parts)
    if "prices" in parts:
        taking.prices()
    log_change(session, event, acting, f"Taken over from {earlier.name}: {taking.taken}", subject="event")
    return taking.taken


def _check(parts: Collection[str]) -> None:
    unknown = sorted(set(parts) - set(PARTS))
    if unknown or not parts:
        raise BadInput(f"{', '.join(unknown) or 'Nothing'}: choose of {', '.join(PARTS)}.")


class _Taking:
    """One taking over: what of the earlier event stands for what here."""

    def __init__(self, session: Session, event: Event, other: Session, earlier: Event, acting: Acting) -> None:
        self.session, self.event, self.other, self.earlier, self.acting = session, event, other, earlier, acting
        self.taken = TakenOver()
        self._frames: dict[int, Frame] = {}
        self._strings: dict[int, StringType] = {}

    def machines(self) -> None:
        for one in self._earlier(Machine):
            self._same_or_new(Machine, one, ("name",), "machines")

    def team(self) -> None:
        homes = {one.id: one.name for one in self._earlier(Machine)}
        for one in self._earlier(Stringer):
            pace = {"pace_entered": one.pace}
            made, is_new = self._same_or_new(Stringer, one, ("name",), "stringers", home_machine_id=None, **pace)
            if is_new and one.home_machine_id is not None:
                home = self._named(Machine, homes[one.home_machine_id])
                made.home_machine_id = None if home is None else home.id

    def lists(self, parts: Collection[str]) -> None:
        for part, table, take in (("frames", Frame, self._frame), ("strings", StringType, self._string)):
            for one in self._earlier(table) if part in parts else ():
                take(one.id)

    def players(
        self, people: Collection[Returning], answers: Mapping[str, str], *, new: bool, with_cards: bool
    ) -> None:
        asked = [f"{one.name} ({one.code})" for one in people if one.is_asked and one.code not in answers]
        if asked:
            raise BadInput(
                f"Say of {', '.join(asked[:5])} whether it is somebody who is here already, or somebody else."
            )
        cards, year = last_cards(self.other, self.earlier) if with_cards else {}, self._year()
        own = own_stringers(self.other, self.earlier)
        earlier = {one.code: one for one in self._earlier(Player)}
        for one in people:
            if not new and not (one.same or answers.get(one.code)):
                continue
            player = self._player(earlier[one.code], one, answers.get(one.code))
            self._wish(player, own.get(one.code))
            for racquet in self.other.scalars(select(Racquet).where(Racquet.player_id == earlier[one.code].id)):
                self._racquet(player, racquet, cards.get((one.code, racquet.number)), year)

    def prices(self) -> None:
        if self.session.scalar(select(Price.id).where(Price.event_id == self.event.id).limit(1)) is not None:
            return
        if self.earlier.currency != self.event.currency:
            raise BadInput(f"The prices of {self.earlier.name} are in {self.earlier.currency}; enter them anew.")
        for one in self._earlier(Price):
            string = None if one.string_type_id is None else self._string(one.string_type_id).id
            self.session.add(Price(event_id=self.event.id, **_values(one) | {"string_type_id": string}))
            self.taken.add("prices")

    def _player(self, earlier: Player, one: Returning, answer: str | None) -> Player:
        code = one.same or answer
        if code:
            wanted = select(Player).where(Player.event_id == self.event.id, Player.code == code)
            player = self.session.scalar(wanted)
            if player is None or player.erased_at is not None:
                raise BadInput(f"There is no player {code} here whom {one.name} could be.")
            player.hours_per_week = player.hours_per_week or earlier.hours_per_week
            return player
        token = {"token": secrets.token_urlsafe(16), "token_issued_at": self.acting.at, "note": ""}
        code = self._free_code(Player, earlier.code)
        player = Player(event_id=self.event.id, **_values(earlier) | token | {"code": code})
        self._add(player, "players")
        return player

    def _racquet(self, player: Player, earlier: Racquet, last: Any, year: int) -> None:
        wanted = select(Racquet).where(Racquet.player_id == player.id, Racquet.number == earlier.number)
        racquet = self.session.scalar(wanted)
        if racquet is None:
            frame = self._frame(earlier.frame_id)
            racquet = Racquet(player_id=player.id, frame_id=frame.id, number=earlier.number, note=earlier.note)
            self._add(racquet, "racquets")
        known = select(KnownCard.id).where(KnownCard.racquet_id == racquet.id)
        if last is None or self.session.scalar(known) is not None:
            return
        card = last[0]
        same = {name: getattr(card, name) for name in _OF_A_CARD}
        strings = {f"{half}_string_id": self._string(getattr(card, f"{half}_string_id")).id for half in HALVES}
        self._add(KnownCard(racquet_id=racquet.id, known_from=self.earlier.name, year=year, **same, **strings), "cards")

    def _wish(self, player: Player, name: str | None) -> None:
        """Wish the stringer of the earlier event, where somebody of that name is in the team and nothing is wished."""
        stringer = None if name is None else self._named(Stringer, name)
        wished = select(PlayerWish.id).where(PlayerWish.player_id == player.id).limit(1)
        if stringer is None or self.session.scalar(wished) is not None:
            return
        whom = {"kind": WITH, "player_id": player.id, "stringer_id": stringer.id}
        by = f"as at {self.earlier.name}"
        self._add(PlayerWish(event_id=self.event.id, at=self.acting.at, by=by, **whom), "wishes")

    def _year(self) -> int:
        day = self.other.scalar(select(EventDay.date).where(EventDay.event_id == self.earlier.id).limit(1))
        return self.acting.at.year if day is None else day.year

    def _frame(self, row_id: int) -> Frame:
        if row_id not in self._frames:
            one = self.other.get_one(Frame, row_id)
            self._frames[row_id], _ = self._same_or_new(Frame, one, ("name", "mains", "crosses"), "frames")
        return self._frames[row_id]

    def _string(self, row_id: int) -> StringType:
        if row_id not in self._strings:
            one = self.other.get_one(StringType, row_id)
            like = ("name", "gauge_mm", "material", "colour")
            self._strings[row_id], _ = self._same_or_new(StringType, one, like, "strings")
        return self._strings[row_id]

    def _same_or_new(self, table: Any, one: Any, like: tuple[str, ...], word: str, **over: Any) -> tuple[Any, bool]:
        """The row here that is like an earlier one, else a copy of that under a free code."""
        wanted = [getattr(table, name) == getattr(one, name) for name in like]
        same = self.session.scalar(select(table).where(table.event_id == self.event.id, *wanted).limit(1))
        if same is not None:
            return same, False
        code = self._free_code(table, one.code)
        made = table(event_id=self.event.id, **_values(one) | over | {"code": code})
        self._add(made, word)
        return made, True

    def _named(self, table: Any, name: str) -> Any:
        return self.session.scalar(select(table).where(table.event_id == self.event.id, table.name == name).limit(1))

    def _free_code(self, table: Any, code: str) -> str:
        taken = set(self.session.scalars(select(table.code).where(table.event_id == self.event.id)))
        return next(free for n in range(len(taken) + 2) if (free := code if n == 0 else f"{code}-{n + 1}") not in taken)

    def _earlier(self, table: Any) -> list[Any]:
        found = select(table).where(table.event_id == self.earlier.id).order_by(table.id)
        rows = self.other.scalars(found).all()
        return [one for one in rows if getattr(one, "erased_at", None) is None]

    def _add(self, row: Any, word: str) -> None:
        self.session.add(row)
        self.session.flush()
        self.taken.add(word)


def _values(row: Any) -> dict[str, Any]:
    return {
        column.key: getattr(row, column.key) for column in inspect(type(row)).columns if column.key not in _NOT_COPIED
    }
