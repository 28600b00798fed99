"""Drop-offs of a file as the forms that the counter fills in, by the codes of the event's tables."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Court, Frame, Machine, Match, Player, Racquet, Stringer, StringType
from desk.services.event_files import ScriptedDropOff, ScriptedHalf, ScriptedRacquet
from desk.trade.drop_off_forms import CardForm, DropOffForm, RacquetForm
from desk.trade.racquet.bed import HalfCard, StringBed


class Codes:
    """Ids of the records by the codes of the event files."""

    def __init__(self, session: Session, event_id: int) -> None:
        self.event_id = event_id
        self._ids: dict[tuple[type, str], int] = {}
        for table in (Machine, Stringer, Match, Player, Frame, StringType):
            rows = session.execute(select(table.code, table.id).where(table.event_id == event_id))
            self._ids.update({(table, code): row_id for code, row_id in rows})
        courts = session.execute(select(Court.name, Court.id).where(Court.event_id == event_id))
        self._ids.update({(Court, name): row_id for name, row_id in courts})

    def id_of(self, table: type, code: str) -> int:
        return self._ids[table, code]

    def form(self, session: Session, visit: ScriptedDropOff) -> DropOffForm:
        player_id = self.id_of(Player, visit.player_code)
        owned = select(Racquet.number, Racquet.id).where(Racquet.player_id == player_id)
        known = dict(session.execute(owned).all())
        return DropOffForm(
            player_id=player_id,
            racquets=[self._racquet(racquet, known) for racquet in visit.racquets],
            request_key=f"files-{visit.player_code}-{visit.at:%Y%m%d%H%M}-{visit.racquets[0].row}",
            consent=visit.consent,
            brought_by=visit.brought_by,
        )

    def _racquet(self, racquet: ScriptedRacquet, known: dict[int, int]) -> RacquetForm:
        return RacquetForm(
            racquet_id=known.get(racquet.number),
            number=racquet.number,
            frame_id=self.id_of(Frame, racquet.frame_code),
            card=self.card(racquet),
            needed_by_kind=racquet.needed_by_kind,
            needed_by_at=racquet.needed_by_at,
            not_before_at=racquet.not_before_at,
            on_court=racquet.on_court,
            matters=racquet.matters,
            court_id=self.id_of(Court, racquet.court_name) if racquet.court_name else None,
            frame_check=racquet.frame_check,
            frame_note=racquet.found,
        )

    def card(self, racquet: ScriptedRacquet) -> CardForm:
        return CardForm(
            bed=StringBed(*racquet.bed.map(self._half)),
            pieces=racquet.pieces,
            stencil=racquet.stencil,
            extra_work=racquet.extra_work,
            as_fresh=racquet.as_fresh,
            note=racquet.note,
        )

    def _half(self, half: ScriptedHalf) -> HalfCard:
        string_id, spoken = self.id_of(StringType, half.string_code), half.tension
        return HalfCard(string_id, spoken.value, spoken.unit, half.pre_stretch, half.own)
