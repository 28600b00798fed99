"""The usage report of an invented event with every table filled, its figures added up from its jobs."""

import random
from datetime import date, datetime, timedelta
from statistics import fmean
from typing import Any

from exports.report import Summary, UsageReport
from exports.rows import checks, jobs, mishaps, money, work
from exports.rows.checks import Comparison
from exports.rows.jobs import JobRow
from tests.exports import racquets
from tests.exports.full_stock import stock_tables
from tests.exports.make import blank, make_report, make_summary, rows_of
from tests.exports.racquets import STRINGERS, STRINGS

FIRST_DAY = date(2026, 7, 6)
GIVEN = ("Alma", "Bruno", "Celia", "Dario", "Elif", "Fabio", "Greta", "Hana", "Ivo", "Jana", "Kofi", "Lena")
FAMILY = ("Arden", "Bellweather", "Corvin", "Dunmore", "Esterly", "Farrow", "Goldacre", "Hollis", "Ingram")
WORK = ("16x19", "18x20", "16x18", "16x19 and grommets")


def make_full_report(*, jobs: int = 84, days: int = 1, seed: int = 7) -> UsageReport:
    """A report of an invented event with every table filled, its figures added up from its jobs."""
    return _Event(jobs, days, seed).report()


class _Event:
    def __init__(self, jobs: int, days: int, seed: int) -> None:
        pick = random.Random(seed)
        self.days = tuple(FIRST_DAY + timedelta(days=2 * (days == 1) + n) for n in range(days))
        names = [f"{given} {family}" for given in GIVEN for family in FAMILY]
        players = names[: max(4, min(len(names), jobs // 2))]
        drawn = [racquets.draw(pick, n, self.days[n % days], players) for n in range(jobs)]
        self.jobs = sorted(drawn, key=lambda job: job.dropped_off_at)
        self.done = [job for job in self.jobs if job.ready_at]
        self.end = datetime.combine(self.days[-1], datetime.min.time()) + timedelta(hours=23, minutes=5)

    def report(self) -> UsageReport:
        one, end = len(self.days) == 1, self.end
        correction = {
            "made_by": "Mira Tolland", "subject": "Reel 3", "before": "closing 41.0 m", "after": "closing 38.5 m",
            "reason": "measured again: one length had been left on the bench",
        }  # fmt: skip
        return make_report(
            title="Wednesday 8 July 2026" if one else f"Event so far, {len(self.days)} days",
            days=self.days,
            made_at=end + timedelta(minutes=5),
            closed=True,
            closed_at=end,
            closed_by="Mira Tolland",
            summary=self.summary(),
            corrections=(checks.Correction(made_at=end + timedelta(minutes=2), **correction),),
            throughput_by_hour=tuple(self.hour(day, hour) for day in self.days for hour in range(8, 23)),
            throughput_by_day=tuple(self.day(day) for day in self.days),
            throughput_by_stringer=tuple(self.stringer(name) for name in STRINGERS),
            throughput_by_machine=tuple(self.machine(number) for number in range(len(STRINGERS))),
            jobs=tuple(self.jobs),
            needed_by=tuple(self.needed_by(job) for job in self.jobs),
            time_on_bench=tuple(
                racquets.row_of(job, jobs.BenchTimeRow, work=WORK[len(job.tag + job.player) % 4], target_min=30)
                for job in self.done
            ),
            **stock_tables(self.days, self.done),
            **self.closing(),
        )

    def summary(self) -> Summary:
        charged, owed = racquets.charged(self.done), racquets.owed(self.done)
        return make_summary(
            racquets_strung=len(self.done),
            players_served=len({job.player for job in self.done}),
            **racquets.due(self.done),
            **racquets.on_court(self.done),
            string_m=racquets.metres(self.done),
            waste_m=0.3 * len(self.done),
            redo=1,
            mishaps=2,
            carried_over=len(self.jobs) - len(self.done),
            cancelled=1,
            uncollected=sum(job.handed_over_at is None for job in self.done),
            bench_mean_min=racquets.bench_mean(self.done),
            ready_mean_min=fmean(racquets.minutes(job) for job in self.done),
            within_target=racquets.within_target(self.done),
            stringers=len(STRINGERS),
            machines=len(STRINGERS),
            charged_minor=charged,
            tax_minor=charged - round(charged / 1.19),
            received_minor=charged - owed,
            carried_forward_minor=owed,
        )

    def hour(self, day: date, hour: int) -> work.HourRow:
        at = datetime(day.year, day.month, day.day, hour)
        strung = [job for job in self.done if racquets.hour(job.ready_at) == at]
        return work.HourRow(
            from_at=at,
            utc_offset_min=120,
            dropped_off=sum(racquets.hour(job.dropped_off_at) == at for job in self.jobs),
            strung=len(strung),
            handed_over=sum(racquets.hour(job.handed_over_at) == at for job in self.jobs),
            on_court=sum(job.on_court for job in strung),
        )

    def of_day(self, day: date) -> list[JobRow]:
        return [job for job in self.done if job.ready_at and job.ready_at.date() == day]

    def day(self, day: date) -> work.DayRow:
        done = self.of_day(day)
        counted = {
            "racquets": len(done),
            "players": len({job.player for job in done}),
            "string_m": racquets.metres(done),
        }
        return blank(work.DayRow, day=day, **counted, **racquets.due(done), **racquets.on_court(done), closed=True)

    def stringer(self, name: str) -> work.StringerRow:
        done = [job for job in self.done if job.stringer == name]
        return work.StringerRow(
            stringer=name,
            **racquets.benched(done),
            players=len({job.player for job in done}),
            at_work_min=600.0 * len(self.days),
            within_target=racquets.within_target(done),
            with_needed_by=len(done),
            on_time=sum(racquets.spare(job) >= 0 for job in done),
            redo=int(name == STRINGERS[1]),
            string_m=racquets.metres(done),
        )

    def machine(self, number: int) -> work.MachineRow:
        name = f"Bench {number + 1}"
        done = [job for job in self.done if job.machine == name]
        return work.MachineRow(
            machine=name, **racquets.benched(done), out_of_service_min=50.0 * (number == 2), stringers=1
        )

    def needed_by(self, job: JobRow) -> jobs.NeededByRow:
        spare = racquets.spare(job) if job.ready_at else None
        return racquets.row_of(
            job,
            jobs.NeededByRow,
            needed_for="on court now" if job.on_court else "Court 3, second match",
            spare_min=spare,
            promise_spare_min=None if spare is None else spare - 10,
            outcome="open" if spare is None else "on time" if spare >= 0 else "late",
        )

    def money_tables(self) -> dict[str, Any]:
        columns = "day currency brought_forward_minor charged_minor tax_minor cash_minor carried_forward_minor"
        charged, owed, days = 0, 0, []
        for day in self.days:
            sold, still = racquets.charged(self.of_day(day)), racquets.owed(self.done) if day == self.days[-1] else 0
            days.append((day, "EUR", owed, sold, sold - round(sold / 1.19), owed + sold - still, still))
            charged, owed = charged + sold, still
        net = round(charged / 1.19)
        return {
            "money_by_day": rows_of(money.MoneyRow, columns, *days),
            "taxes": rows_of(
                money.TaxRow,
                "rate_pct currency net_minor tax_minor gross_minor",
                (19.0, "EUR", net, charged - net, charged),
            ),
            "prize_money": rows_of(
                money.PrizeMoneyRow,
                "player currency charged_minor otherwise_minor booked_minor open_minor",
                ("Alma Arden", "EUR", 7000, 3500, 0, 3500),
            ),
        }

    def charge(self, number: int, player: str) -> money.ChargeRow:
        """The account of a player, of whom the fourth has not paid."""
        done = [job for job in self.done if job.player == player]
        charged, labour, owing = racquets.charged(done), 2000 * len(done), number == 3
        return blank(
            money.ChargeRow,
            payer=player,
            stands_as="player",
            racquets=len(done),
            currency="EUR",
            labour_minor=labour,
            string_minor=charged - labour,
            received_minor=charged * (not owing),
            carried_forward_minor=charged * owing,
            note="settles on Friday" if owing else "",
        )

    def closing(self) -> dict[str, Any]:
        players = sorted({job.player for job in self.done})
        return {
            **self.money_tables(),
            "charges": tuple(self.charge(number, player) for number, player in enumerate(players)),
            "carried_over": tuple(
                racquets.row_of(job, jobs.CarriedOverRow, reason="wanted fresh in the morning")
                for job in self.jobs
                if not job.ready_at
            ),
            "uncollected": tuple(self.uncollected(job) for job in self.done if not job.handed_over_at),
            "mishaps": rows_of(
                mishaps.MishapRow,
                "group name noted still_open strung_anew so_far racquets often",
                ("kind", "The string broke", 2, 1, 1, 3, len(self.done), False),
                ("reel", f"R02, {STRINGS[1]}", 2, 1, 1, 3, 17, True),
                ("machine", "Bench 2", 2, 1, 1, 2, 20, False),
            ),
            "cross_checks": self.cross_checks(),
            "comparison": self.comparison(),
        }

    def uncollected(self, job: JobRow) -> jobs.UncollectedRow:
        waiting_min = (self.end - job.ready_at).total_seconds() / 60
        return racquets.row_of(job, jobs.UncollectedRow, waiting_min=waiting_min, note="told by telephone")

    def cross_checks(self) -> tuple[checks.CrossCheckRow, ...]:
        strung, metres, charged = len(self.done), racquets.metres(self.done), racquets.charged(self.done)
        return rows_of(
            checks.CrossCheckRow,
            "figure measure first_source first second_source second tolerance",
            ("Racquets strung", "count", "jobs that are ready", strung, "racquets by stringer", strung, 0.0),
            ("String in racquets", "m", "metres on the jobs", metres, "metres taken from the reels", metres, 0.1),
            ("Charged", "minor", "charges on the jobs", charged, "totals of the players", charged - 2000, 0.0),
        )

    def comparison(self) -> Comparison:
        now = self.summary()
        compared = rows_of(
            checks.ComparisonRow,
            "figure measure better now before",
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
        return Comparison(before_title="Tuesday 7 July", rows=compared)
