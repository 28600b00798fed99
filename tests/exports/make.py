"""An invented event and its usage report: no name in it is a real player's, event's, string's or machine's."""

import random
from dataclasses import replace
from datetime import date, datetime, timedelta
from statistics import fmean
from typing import Any

from exports.report import Summary, UsageReport
from exports.rows.checks import Comparison, ComparisonRow, Correction, CrossCheckRow
from exports.rows.jobs import BenchTimeRow, CarriedOverRow, JobRow, NeededByRow, UncollectedRow
from exports.rows.mishaps import MishapRow
from exports.rows.money import ChargeRow, MoneyRow, PrizeMoneyRow, TaxRow
from exports.rows.stock import CalibrationRow, MaterialRow, OrderRow, PatternRow, ReelRow, StringRow, TensionRow
from exports.rows.work import DayRow, HourRow, MachineRow, StringerRow
from exports.units import Tension

FIRST_DAY = date(2026, 7, 6)
GIVEN = ("Alma", "Bruno", "Celia", "Dario", "Elif", "Fabio", "Greta", "Hana", "Ivo", "Jana", "Kofi", "Lena")
FAMILY = ("Arden", "Bellweather", "Corvin", "Dunmore", "Esterly", "Farrow", "Goldacre", "Hollis", "Ingram")
STRINGERS = ("Mira Tolland", "Jonas Pike", "Adaeze Wren", "Tom Harrow", "Li Sand")
STRINGS = ("Polyester A 1.25", "Polyester B 1.20", "Nylon multifilament C 1.30", "Natural gut D 1.30")
MATERIALS = {"Polyester": "polyester", "Nylon": "nylon multifilament", "Natural": "natural gut"}
WORK = ("16x19", "18x20", "16x18", "16x19 and grommets")


def make_summary(**over: Any) -> Summary:
    """A summary of an empty day."""
    base: dict[str, Any] = {
        "racquets_strung": 0,
        "players_served": 0,
        "with_needed_by": 0,
        "on_time": 0,
        "tight": 0,
        "late_up_to_5": 0,
        "late_up_to_15": 0,
        "late_up_to_30": 0,
        "late_more": 0,
        "needed_not_strung": 0,
        "late_match_begun": 0,
        "promised_not_strung": 0,
        "ready_mean_min": None,
        "promises_made": 0,
        "promises_kept": 0,
        "on_court": 0,
        "on_court_mean_min": None,
        "string_m": 0.0,
        "waste_m": 0.0,
        "redo": 0,
        "carried_over": 0,
        "cancelled": 0,
        "uncollected": 0,
        "bench_mean_min": None,
        "target_min": 30,
        "within_target": 0,
        "stringers": 0,
        "machines": 0,
        "brought_forward_minor": 0,
        "charged_minor": 0,
        "tax_minor": 0,
        "received_minor": 0,
        "refunded_minor": 0,
        "written_off_minor": 0,
        "carried_forward_minor": 0,
    }
    return Summary(**(base | over))


def make_report(**over: Any) -> UsageReport:
    """The report of an empty day."""
    base: dict[str, Any] = {
        "event_name": "Lakeside Open (invented)",
        "town": "Harbour Town",
        "title": "Wednesday 8 July 2026",
        "days": (date(2026, 7, 8),),
        "zone_name": "Europe/Berlin",
        "currency": "EUR",
        "made_at": datetime(2026, 7, 8, 23, 10),
        "closed": False,
        "summary": make_summary(),
    }
    return UsageReport(**(base | over))


def make_job(**over: Any) -> JobRow:
    """A job that was strung without trouble."""
    base: dict[str, Any] = {
        "tag": "A17",
        "player": "Alma Arden",
        "racquet": "2",
        "state": "handed over",
        "on_court": False,
        "dropped_off_at": datetime(2026, 7, 8, 9, 5),
        "needed_by_at": datetime(2026, 7, 8, 12, 0),
        "promised_at": datetime(2026, 7, 8, 11, 30),
        "started_at": datetime(2026, 7, 8, 10, 40),
        "ready_at": datetime(2026, 7, 8, 11, 2),
        "handed_over_at": datetime(2026, 7, 8, 11, 20),
        "bench_min": 22.0,
        "stringer": "Mira Tolland",
        "machine": "Bench 1",
        "mains": "Polyester A 1.25",
        "mains_tension": Tension(value=53.5, unit="lb"),
        "crosses": "Polyester A 1.25",
        "crosses_tension": Tension(value=51.5, unit="lb"),
        "knots": 2,
        "string_m": 11.4,
        "charge_minor": 2500,
    }
    return JobRow(**(base | over))


def make_full_report(*, jobs: int = 84, days: int = 1, seed: int = 7) -> UsageReport:
    """A report of an invented event with every table filled, its figures added up from its jobs."""
    return _Event(jobs, days, seed).report()


class _Event:
    def __init__(self, jobs: int, days: int, seed: int) -> None:
        self.random = random.Random(seed)
        self.days = tuple(FIRST_DAY + timedelta(days=2 * (days == 1) + n) for n in range(days))
        names = [f"{given} {family}" for given in GIVEN for family in FAMILY]
        self.players = names[: max(4, min(len(names), jobs // 2))]
        self.jobs = sorted((self._job(n) for n in range(jobs)), key=lambda job: job.dropped_off_at)
        self.done = [job for job in self.jobs if job.ready_at]

    def _job(self, number: int) -> JobRow:
        pick = self.random
        day = self.days[number % len(self.days)]
        dropped = datetime(day.year, day.month, day.day, 8) + timedelta(minutes=int(pick.triangular(0, 720, 180)))
        on_court = pick.random() < 0.07
        started = dropped + timedelta(minutes=3 if on_court else int(pick.triangular(5, 150, 40)))
        bench = round(pick.gauss(14 if on_court else 22, 3))
        ready = started + timedelta(minutes=bench)
        needed = dropped + timedelta(minutes=25 if on_court else int(pick.triangular(60, 400, 170)))
        mains = pick.choice(STRINGS)
        crosses = pick.choice(STRINGS) if pick.random() < 0.3 else mains
        unit = "kg" if pick.random() < 0.5 else "lb"
        tension = round(pick.gauss(24, 1.5) * 2) / 2 if unit == "kg" else round(pick.gauss(52, 3) * 2) / 2
        open_still = number % 28 == 27
        return make_job(
            tag=f"{chr(65 + number // 100 % 26)}{number % 100:02}{'' if number < 2600 else number // 2600}",
            player=self.players[pick.randrange(len(self.players))],
            racquet=str(1 + pick.randrange(6)),
            state="waiting" if open_still else "strung" if number % 21 == 20 else "handed over",
            on_court=on_court,
            dropped_off_at=dropped,
            needed_by_at=needed,
            promised_at=needed - timedelta(minutes=10),
            started_at=None if open_still else started,
            ready_at=None if open_still else ready,
            handed_over_at=None if open_still or number % 21 == 20 else ready + timedelta(minutes=15),
            bench_min=None if open_still else float(bench),
            stringer=None if open_still else (name := pick.choice(STRINGERS)),
            machine=None if open_still else f"Bench {STRINGERS.index(name) + 1}",
            mains=mains,
            mains_tension=Tension(value=tension, unit=unit),
            crosses=crosses,
            crosses_tension=Tension(value=tension - (2 if unit == "lb" else 1), unit=unit),
            knots=4 if crosses != mains else 2,
            string_m=None if open_still else round(pick.uniform(10.8, 12.2), 1),
            charge_minor=None if open_still else 2000 + 1500 * (mains[0] == "P"),
        )

    def report(self) -> UsageReport:
        one = len(self.days) == 1
        end = datetime.combine(self.days[-1], datetime.min.time()) + timedelta(hours=23, minutes=5)
        return make_report(
            title="Wednesday 8 July 2026" if one else f"Event so far, {len(self.days)} days",
            days=self.days,
            made_at=end + timedelta(minutes=5),
            closed=True,
            closed_at=end,
            closed_by="Mira Tolland",
            summary=self.summary(),
            corrections=(
                Correction(
                    made_at=end + timedelta(minutes=2),
                    made_by="Mira Tolland",
                    subject="Reel 3",
                    before="closing 41.0 m",
                    after="closing 38.5 m",
                    reason="measured again: one length had been left on the bench",
                ),
            ),
            throughput_by_hour=tuple(self.hours()),
            throughput_by_day=tuple(self.day(day) for day in self.days),
            throughput_by_stringer=tuple(self.stringers()),
            throughput_by_machine=tuple(self.machines()),
            jobs=tuple(self.jobs),
            needed_by=tuple(self.needed_by()),
            time_on_bench=tuple(self.bench_times()),
            **self.stock(),
            **self.closing(end),
        )

    def summary(self) -> Summary:
        court = [self.minutes(job) for job in self.done if job.on_court]
        charged = sum(job.charge_minor or 0 for job in self.done)
        return make_summary(
            racquets_strung=len(self.done),
            players_served=len({job.player for job in self.done}),
            **_due(self.done),
            on_court=len(court),
            on_court_mean_min=fmean(court) if court else None,
            string_m=sum(job.string_m or 0 for job in self.done),
            waste_m=0.3 * len(self.done),
            redo=1,
            mishaps=2,
            carried_over=len(self.jobs) - len(self.done),
            cancelled=1,
            uncollected=sum(job.handed_over_at is None for job in self.done),
            bench_mean_min=fmean(job.bench_min or 0 for job in self.done),
            ready_mean_min=fmean(self.minutes(job) for job in self.done),
            within_target=sum((job.bench_min or 0) <= 30 for job in self.done),
            stringers=len(STRINGERS),
            machines=len(STRINGERS),
            brought_forward_minor=0,
            charged_minor=charged,
            tax_minor=charged - round(charged / 1.19),
            received_minor=charged - _owed(self.done),
            refunded_minor=0,
            written_off_minor=0,
            carried_forward_minor=_owed(self.done),
        )

    def minutes(self, job: JobRow) -> float:
        assert job.ready_at
        return (job.ready_at - job.dropped_off_at).total_seconds() / 60

    def hours(self) -> list[HourRow]:
        rows = []
        for day in self.days:
            for hour in range(8, 23):
                at = datetime(day.year, day.month, day.day, hour)
                strung = [job for job in self.done if job.ready_at and _hour(job.ready_at) == at]
                rows.append(
                    HourRow(
                        from_at=at,
                        utc_offset_min=120,
                        dropped_off=sum(_hour(job.dropped_off_at) == at for job in self.jobs),
                        strung=len(strung),
                        handed_over=sum(bool(j.handed_over_at and _hour(j.handed_over_at) == at) for j in self.jobs),
                        on_court=sum(job.on_court for job in strung),
                    )
                )
        return rows

    def day(self, day: date) -> DayRow:
        done = [job for job in self.done if job.ready_at and job.ready_at.date() == day]
        court = [self.minutes(job) for job in done if job.on_court]
        return DayRow(
            day=day,
            racquets=len(done),
            players=len({job.player for job in done}),
            **_due(done),
            on_court=len(court),
            on_court_mean_min=fmean(court) if court else None,
            string_m=sum(job.string_m or 0 for job in done),
            redo=0,
            closed=True,
        )

    def stringers(self) -> list[StringerRow]:
        rows = []
        for name in STRINGERS:
            done = [job for job in self.done if job.stringer == name]
            rows.append(
                StringerRow(
                    stringer=name,
                    racquets=len(done),
                    players=len({job.player for job in done}),
                    on_court=sum(job.on_court for job in done),
                    at_work_min=600.0 * len(self.days),
                    busy_min=sum(job.bench_min or 0 for job in done),
                    bench_mean_min=fmean(job.bench_min or 0 for job in done) if done else None,
                    within_target=sum((job.bench_min or 0) <= 30 for job in done),
                    with_needed_by=len(done),
                    on_time=sum(_spare(job) >= 0 for job in done),
                    redo=int(name == STRINGERS[1]),
                    string_m=sum(job.string_m or 0 for job in done),
                )
            )
        return rows

    def machines(self) -> list[MachineRow]:
        rows = []
        for number in range(len(STRINGERS)):
            done = [job for job in self.done if job.machine == f"Bench {number + 1}"]
            rows.append(
                MachineRow(
                    machine=f"Bench {number + 1}",
                    racquets=len(done),
                    on_court=sum(job.on_court for job in done),
                    busy_min=sum(job.bench_min or 0 for job in done),
                    bench_mean_min=fmean(job.bench_min or 0 for job in done) if done else None,
                    out_of_service_min=50.0 * (number == 2),
                    stringers=1,
                )
            )
        return rows

    def needed_by(self) -> list[NeededByRow]:
        return [
            NeededByRow(
                tag=job.tag,
                player=job.player,
                needed_for="on court now" if job.on_court else "Court 3, second match",
                needed_by_at=job.needed_by_at or job.dropped_off_at,
                promised_at=job.promised_at,
                ready_at=job.ready_at,
                spare_min=_spare(job) if job.ready_at else None,
                promise_spare_min=_spare(job) - 10 if job.ready_at else None,
                outcome="open" if not job.ready_at else "on time" if _spare(job) >= 0 else "late",
                match_begun=None,
            )
            for job in self.jobs
        ]

    def bench_times(self) -> list[BenchTimeRow]:
        return [
            BenchTimeRow(
                tag=job.tag,
                player=job.player,
                stringer=job.stringer or "",
                machine=job.machine or "",
                work=WORK[len(job.tag + job.player) % 4],
                started_at=job.started_at or job.dropped_off_at,
                bench_min=job.bench_min or 0,
                target_min=30,
            )
            for job in self.done
        ]

    def stock(self) -> dict[str, Any]:
        pounds = [job.mains_tension.lb for job in self.done if job.mains_tension]
        by_mains = sorted((job.mains_tension for job in self.done if job.mains_tension), key=lambda t: t.lb)
        by_crosses = sorted((job.crosses_tension for job in self.done if job.crosses_tension), key=lambda t: t.lb)
        reels = []
        for number, name in enumerate(STRINGS, 1):
            used = sum(job.string_m or 0 for job in self.done if job.mains == name)
            count = sum(job.mains == name for job in self.done)
            opening = 200.0 * (1 + (used + count * 0.3) // 200)
            closing = round(opening - used - 0.3 * count - 2.5 * (number == 3), 1)
            reels.append(
                ReelRow(
                    reel=f"Reel {number}",
                    string=name,
                    owner="the desk" if number < 4 else "Alma Arden",
                    opening_m=opening,
                    used_m=round(used, 1),
                    waste_m=round(0.3 * count, 1),
                    closing_m=closing,
                    measured=number != 4,
                    racquets=count,
                )
            )
        strings = [
            StringRow(
                string=reel.string,
                owner="desk" if reel.owner == "the desk" else "players",
                racquets=reel.racquets,
                reel_m=reel.used_m,
                sets=2.5,
                reels_opened=1,
                sets_opened=3,
                waste_m=reel.waste_m,
                left_m=reel.closing_m,
                left_sets=4.0,
                currency="EUR",
                **_worth(reel),
            )
            for reel in reels
        ]
        metres = [job.string_m for job in self.done if job.mains == job.crosses and job.string_m]
        pattern = PatternRow(
            pattern="16 × 19", racquets=len(metres), mean_m=fmean(metres), least_m=min(metres), most_m=max(metres)
        )
        order = OrderRow(
            string=STRINGS[0],
            on_hand_m=64.2,
            use_per_day_m=255.0,
            expected_need_m=765.0,
            reel_length_m=200.0,
            order_reels=4,
            runs_out_on=self.days[-1] + timedelta(days=1),
            note="delivery takes two days",
        )
        tensions = [
            TensionRow(
                group="all",
                part=part,
                racquets=len(self.done),
                lowest=spoken[0],
                mean=Tension(value=fmean(t.lb for t in spoken), unit="lb"),
                highest=spoken[-1],
            )
            for part, spoken in (("mains", by_mains), ("crosses", by_crosses))
        ]
        assert pounds
        pairs: dict[tuple[str, str], list[JobRow]] = {}
        for job in self.done:
            pairs.setdefault((_material(job.mains), _material(job.crosses)), []).append(job)
        materials = [
            MaterialRow(
                mains=pair[0],
                crosses=pair[1],
                hybrid=pair[0] != pair[1],
                racquets=len(done),
                players=len({job.player for job in done}),
                string_m=sum(job.string_m or 0 for job in done),
            )
            for pair, done in sorted(pairs.items(), key=lambda item: -len(item[1]))
        ]
        return {
            "string": tuple(strings),
            "metres_by_pattern": (pattern,),
            "reels": tuple(reels),
            "to_order": (order,),
            "tensions": tuple(tensions),
            "materials": tuple(materials),
            "calibration": tuple(self.calibration()),
        }

    def calibration(self) -> list[CalibrationRow]:
        return [
            CalibrationRow(
                machine=f"Bench {number + 1}",
                read_at=datetime(day.year, day.month, day.day, 7, 30 + number),
                read_by=STRINGERS[number],
                asked=Tension(value=asked, unit="lb"),
                measured=Tension(value=asked + (1.5 if number == 2 else 0.2 * number - 0.3), unit="lb"),
                tolerance=Tension(value=1, unit="lb"),
                within=number != 2,
                action="out of service, adjusted, read again at 08:20" if number == 2 else "",
            )
            for day in self.days
            for number in range(len(STRINGERS))
            for asked in (50.0, 60.0)
        ]

    def money(self) -> dict[str, Any]:
        charged, owed, rows = 0, 0, []
        for number, day in enumerate(self.days, 1):
            done = [job for job in self.done if job.ready_at and job.ready_at.date() == day]
            sold, still = (
                sum(job.charge_minor or 0 for job in done),
                _owed(self.done) if number == len(self.days) else 0,
            )
            rows.append(
                MoneyRow(
                    day=day,
                    currency="EUR",
                    brought_forward_minor=owed,
                    charged_minor=sold,
                    tax_minor=sold - round(sold / 1.19),
                    cash_minor=owed + sold - still,
                    card_minor=0,
                    prize_money_minor=0,
                    federation_minor=0,
                    transfer_minor=0,
                    refunded_minor=0,
                    written_off_minor=0,
                    carried_forward_minor=still,
                )
            )
            charged, owed = charged + sold, still
        net = round(charged / 1.19)
        return {
            "money_by_day": tuple(rows),
            "taxes": (
                TaxRow(rate_pct=19.0, currency="EUR", net_minor=net, tax_minor=charged - net, gross_minor=charged),
            ),
            "prize_money": (
                PrizeMoneyRow(
                    player="Alma Arden",
                    currency="EUR",
                    charged_minor=7000,
                    otherwise_minor=3500,
                    booked_minor=0,
                    open_minor=3500,
                ),
            ),
        }

    def closing(self, end: datetime) -> dict[str, Any]:
        charged: dict[str, list[JobRow]] = {}
        for job in self.done:
            charged.setdefault(job.player, []).append(job)
        charges = [
            ChargeRow(
                payer=player,
                stands_as="player",
                racquets=len(done),
                currency="EUR",
                brought_forward_minor=0,
                labour_minor=2000 * len(done),
                string_minor=sum((job.charge_minor or 0) - 2000 for job in done),
                other_minor=0,
                tax_minor=0,
                received_minor=sum(job.charge_minor or 0 for job in done) * (number != 3),
                refunded_minor=0,
                written_off_minor=0,
                carried_forward_minor=sum(job.charge_minor or 0 for job in done) * (number == 3),
                note="settles on Friday" if number == 3 else "",
            )
            for number, (player, done) in enumerate(sorted(charged.items()))
        ]
        return {
            **self.money(),
            "charges": tuple(charges),
            "carried_over": tuple(
                CarriedOverRow(
                    tag=job.tag,
                    player=job.player,
                    racquet=job.racquet,
                    state=job.state,
                    dropped_off_at=job.dropped_off_at,
                    needed_by_at=job.needed_by_at,
                    promised_at=job.promised_at,
                    reason="wanted fresh in the morning",
                )
                for job in self.jobs
                if not job.ready_at
            ),
            "uncollected": tuple(
                UncollectedRow(
                    tag=job.tag,
                    player=job.player,
                    racquet=job.racquet,
                    ready_at=job.ready_at,
                    waiting_min=(end - job.ready_at).total_seconds() / 60,
                    note="told by telephone",
                )
                for job in self.done
                if job.ready_at and not job.handed_over_at
            ),
            "mishaps": tuple(self.mishaps()),
            "cross_checks": self.checks(),
            "comparison": self.comparison(),
        }

    def mishaps(self) -> list[MishapRow]:
        counted = (
            ("kind", "The string broke", 2, 1, 1, 3, len(self.done), False),
            ("reel", f"R02, {STRINGS[1]}", 2, 1, 1, 3, 17, True),
            ("machine", "Bench 2", 2, 1, 1, 2, 20, False),
        )
        names = ("group", "name", "noted", "still_open", "strung_anew", "so_far", "racquets", "often")
        return [MishapRow(**dict(zip(names, values, strict=True))) for values in counted]

    def checks(self) -> tuple[CrossCheckRow, ...]:
        metres = sum(job.string_m or 0 for job in self.done)
        return (
            CrossCheckRow(
                figure="Racquets strung",
                measure="count",
                first_source="jobs that are ready",
                first=len(self.done),
                second_source="racquets by stringer",
                second=len(self.done),
            ),
            CrossCheckRow(
                figure="String in racquets",
                measure="m",
                first_source="metres on the jobs",
                first=metres,
                second_source="metres taken from the reels",
                second=metres,
                tolerance=0.1,
            ),
            CrossCheckRow(
                figure="Charged",
                measure="minor",
                first_source="charges on the jobs",
                first=sum(job.charge_minor or 0 for job in self.done),
                second_source="totals of the players",
                second=sum(job.charge_minor or 0 for job in self.done) - 2000,
            ),
        )

    def comparison(self) -> Comparison:
        now = self.summary()
        rows = (
            ("Racquets strung", "count", "neither", now.racquets_strung, 71),
            ("Players served", "count", "neither", now.players_served, 33),
            ("On time", "pct", "more", 100 * now.on_time / now.with_needed_by, 97.2),
            ("Promises kept", "pct", "more", 100 * now.promises_kept / now.promises_made, 91.0),
            ("From a match in play", "count", "neither", now.on_court, 7),
            ("Minutes from court to ready", "min", "fewer", now.on_court_mean_min, 19.5),
            ("Minutes on the bench", "min", "fewer", now.bench_mean_min, 23.0),
            ("String", "m", "neither", now.string_m, 803.0),
            ("Redo", "count", "fewer", now.redo, 2),
        )
        return Comparison(
            before_title="Tuesday 7 July",
            rows=tuple(
                ComparisonRow(figure=figure, measure=measure, better=better, now=value, before=before)
                for figure, measure, better, value, before in rows
            ),
        )


def _hour(at: datetime) -> datetime:
    return at.replace(minute=0, second=0)


def _spare(job: JobRow) -> float:
    assert job.needed_by_at and job.ready_at
    return (job.needed_by_at - job.ready_at).total_seconds() / 60


def _due(done: list[JobRow]) -> dict[str, int]:
    late = [-_spare(job) for job in done if _spare(job) < 0]
    return {
        "with_needed_by": len(done),
        "on_time": len(done) - len(late),
        "tight": 0,
        "late_up_to_5": sum(by <= 5 for by in late),
        "late_up_to_15": sum(5 < by <= 15 for by in late),
        "late_up_to_30": sum(15 < by <= 30 for by in late),
        "late_more": sum(by > 30 for by in late),
        "needed_not_strung": 0,
        "late_match_begun": 0,
        "promises_made": len(done),
        "promises_kept": sum(_spare(job) >= 10 for job in done),
        "promised_not_strung": 0,
    }


def _worth(reel: ReelRow) -> dict[str, Any]:
    """What a reel's string cost at 1.00 a metre; of players' own nobody knows."""
    if reel.owner != "the desk":
        return {"opened_minor": None, "used_minor": None, "waste_minor": None, "left_minor": None} | {
            "without_price": "players’ own"
        }
    used, waste, left = (round(100 * metres) for metres in (reel.used_m, reel.waste_m, reel.closing_m))
    return {"opened_minor": 20_000, "used_minor": used, "waste_minor": waste, "left_minor": left}


def _owed(done: list[JobRow]) -> int:
    """What the fourth player, by name, has not paid."""
    fourth = sorted({job.player for job in done})[3:4]
    return sum(job.charge_minor or 0 for job in done if job.player in fourth)


def _material(string: str) -> str:
    return next(name for start, name in MATERIALS.items() if start in string.split(maxsplit=1)[0])


def with_name(report: UsageReport, name: str) -> UsageReport:
    """The same report with one player's name replaced throughout."""
    old = report.jobs[0].player

    def renamed(rows: tuple[Any, ...], column: str) -> tuple[Any, ...]:
        return tuple(replace(row, **{column: name}) if getattr(row, column) == old else row for row in rows)

    tables = dict.fromkeys(("jobs", "needed_by", "time_on_bench", "carried_over", "uncollected"), "player")
    tables["charges"] = "payer"
    return replace(report, **{table: renamed(getattr(report, table), column) for table, column in tables.items()})
