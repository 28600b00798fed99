"""A small desk in the records: two benches, two stringers, string, and a player with racquets."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy.orm import Session

from desk.models import Event, Frame, Machine, Player, Racquet, Reel, Stringer, StringType
from desk.services.bench.jobs import BENCH_CHECKS, Finish
from desk.trade.drop_off_forms import CardForm, DropOffForm, RacquetForm
from desk.trade.racquet.bed import HalfCard, StringBed
from tests import make


@dataclass(frozen=True, kw_only=True)
class SmallDesk:
    """Everything that a drop-off needs, by id or as rows of the session that made it."""

    event: Event
    frame: Frame
    string: StringType
    reel: Reel
    machines: tuple[Machine, Machine]
    stringers: tuple[Stringer, Stringer]
    player: Player
    racquets: tuple[Racquet, ...]

    def card(self, *, mains: Any = None, crosses: Any = None, **over: Any) -> CardForm:
        """Return a card; MAINS and CROSSES say what is otherwise than usual of a half."""
        usual = {"string_id": self.string.id, "unit": "lb"}
        halves = (
            HalfCard(**(usual | {"tension": Decimal("52.5")} | (mains or {}))),
            HalfCard(**(usual | {"tension": Decimal("50.5")} | (crosses or {}))),
        )
        return CardForm(bed=StringBed(*halves), **over)

    def racquet_form(self, number: int = 0, *, card: dict[str, Any] | None = None, **over: Any) -> RacquetForm:
        return RacquetForm(racquet_id=self.racquets[number].id, card=self.card(**(card or {})), **over)

    def bag(self, count: int, **over: Any) -> DropOffForm:
        """Return the form of a visit with that many of the racquets."""
        return self.form(*map(self.racquet_form, range(count)), **over)

    def bench(self, stringer: int = 0, machine: int | None = None) -> dict[str, int]:
        """Say who strings and where: at that stringer's own machine, unless MACHINE is another."""
        at = self.machines[stringer if machine is None else machine]
        return {"stringer_id": self.stringers[stringer].id, "machine_id": at.id}

    def form(self, *racquets: RacquetForm, key: str = "once", **over: Any) -> DropOffForm:
        chosen = racquets or (self.racquet_form(),)
        return DropOffForm(player_id=self.player.id, racquets=chosen, request_key=key, **over)


def small_desk(session: Session, **over: Any) -> SmallDesk:
    event = make.make_event(session, **({"calibration_required": False} | over))
    frame = make.make_frame(session, event)
    string = make.make_string(session, event)
    reel = make.make_reel(session, string)
    machines = (make.make_machine(session, event), make.make_machine(session, event))
    stringers = (
        make.make_stringer(session, event, home_machine_id=machines[0].id),
        make.make_stringer(session, event, home_machine_id=machines[1].id),
    )
    player = make.make_player(session, event)
    racquets = tuple(make.make_racquet(session, player, frame=frame) for _ in range(4))
    return SmallDesk(
        event=event,
        frame=frame,
        string=string,
        reel=reel,
        machines=machines,
        stringers=stringers,
        player=player,
        racquets=racquets,
    )


ALL_CHECKED = Finish(checks=tuple(BENCH_CHECKS))
