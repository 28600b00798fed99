"""A tight invented week of doubles as a folder: five stringers, two kinds of machine, rain and a dead machine.

    python -m tests.services.played_day.doubles_week FOLDER [--seed 1] [--days 3] [--stringers 5]

then `python -m desk day FOLDER --out DIR`. Frames, string and prices are those of the sample week.
"""

from __future__ import annotations

import argparse
import csv
import shutil
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from random import Random

SAMPLE = Path(__file__).parents[3] / "sample_events" / "harbour-week"
FIRST = date(2031, 9, 1)
OPENS, CLOSES = 7 * 60 + 30, 21 * 60
COURTS, TURNS, CHANGEOVER = 5, 5, 15
RAIN_FROM, RAIN_UNTIL, DRY = 14 * 60 + 5, 15 * 60 + 30, 16 * 60 + 10
"""On the second day; expected to stop at RAIN_UNTIL, and dry later than that."""
SICK, DEAD = 12 * 60 + 25, 10 * 60 + 40
"""A stringer on the second day, a machine on the first, until later than expected, and one on the last for good."""
ON_COURT, DOUBLES_BRING = 0.3, 0.45
"""Shares of matches from which a racquet is sent, and of players who bring racquets for doubles."""
STRINGS = ("TALUS125", "TALUS120", "WEIR125")
FRAMES = ("LARCH98", "LARCH98D", "HERON100")

COURT = ("on_court", "court")

Row = list[str]


def clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


@dataclass
class Week:
    """The tables of the week as they grow."""

    random: Random
    stringers: int
    days: list[str]
    matches: list[Row] = field(default_factory=list)
    drop_offs: list[Row] = field(default_factory=list)
    incidents: list[Row] = field(default_factory=list)

    def day(self, number: int, players: list[str]) -> None:
        """Add the order of play of a day, what happens in it, and the racquets for it."""
        order = self._sides(players)
        for court in range(COURTS):
            free, nominal = 11 * 60 + 15 * (court % 2), 11 * 60 + 15 * (court % 2)
            for turn in range(TURNS):
                sides, kind = order[turn * COURTS + court]
                code = f"D{number}C{court}T{turn}"
                start = ["at", clock(nominal)] if turn == 0 else ["followed_by", ""]
                named = [" / ".join(side) for side in sides]
                self.matches.append(
                    [code, self.days[number], f"Court {court + 1}", str(turn + 1), kind, *start, *named]
                )
                for player in (player for side in sides for player in side):
                    if kind != "doubles" or self.random.random() < DOUBLES_BRING:
                        self._bring(number, player, nominal, 3 if kind != "doubles" else 2)
                free = self._play(number, code, f"Court {court + 1}", sides, free, kind)
                nominal += 95 if kind == "doubles" else 115

    def _sides(self, players: list[str]) -> list[tuple[list[list[str]], str]]:
        """Singles before doubles on every court; who lost in the singles of the morning plays doubles later."""
        turns: list[tuple[list[list[str]], str]] = []
        singles = self.random.sample(players, 4 * COURTS)
        for n in range(2 * COURTS):
            turns.append(([[singles[2 * n]], [singles[2 * n + 1]]], "best_of_3_men"))
        pool = [player for player in players if player not in singles] + singles[:COURTS]
        self.random.shuffle(pool)
        for n in range((TURNS - 2) * COURTS):
            four = [pool[(4 * n + place) % len(pool)] for place in range(4)]
            turns.append(([four[:2], four[2:]], "doubles"))
        return turns

    def _bring(self, number: int, player: str, nominal: int, most: int) -> None:
        """Drop off one to MOST racquets, the evening before or at least eighty minutes before the match may begin."""
        day, latest = number, nominal - 80
        if number and self.random.random() < 0.35:
            day, minute = number - 1, self.random.randrange(17 * 60 + 30, 20 * 60)
        else:
            minute = self.random.randrange(OPENS + 1, max(OPENS + 2, latest))
        here = {row[3] for row in self.drop_offs if row[2] == player and row[0] == self.days[day]}
        free = [str(n) for n in range(1, 7) if str(n) not in here]
        for racquet in free[: self.random.randint(1, most)]:
            self.drop_offs.append(self._racquet(day, minute, player, racquet))

    def _racquet(self, day: int, minute: int, player: str, racquet: str, court: str = "") -> Row:
        place = int(player[1:])
        string, frame = STRINGS[place % len(STRINGS)], FRAMES[place % len(FRAMES)]
        head = [self.days[day], clock(minute), player, racquet, frame, string, "23 kg", "22 kg"]
        return [*head, "yes" if court else "", court]

    def _play(self, number: int, code: str, court: str, sides: list[list[str]], free: int, kind: str) -> int:
        """Play a match from when the court is free; return when it is free again."""
        mean, spread = (74, 14) if kind == "doubles" else (96, 24)
        takes = max(45, round(self.random.gauss(mean, spread)))
        rain = number == 1
        start = DRY + 5 if rain and RAIN_FROM <= free < DRY else free
        end = start + takes + (DRY - RAIN_FROM if rain and start < RAIN_FROM < start + takes else 0)
        self._happens(number, start, "match_started", code)
        self._happens(number, end, "match_finished", code, winner=str(self.random.randint(1, 2)))
        if self.random.random() < ON_COURT:
            at = start + self.random.randrange(20, max(21, takes - 25))
            player = self.random.choice([player for side in sides for player in side])
            if not (rain and RAIN_FROM - 20 <= at < DRY):
                self.drop_offs.append(self._racquet(number, at, player, "9", court))
        return end + CHANGEOVER

    def _happens(self, number: int, minute: int, what: str, which: str = "", **more: str) -> None:
        said = [more.get(name, "") for name in ("until", "winner", "note")]
        self.incidents.append([self.days[number], clock(minute), what, which, *said])

    def go_wrong(self) -> None:
        """Rain that lasts longer than expected, a stringer falling sick, a machine dead until the next morning."""
        self._happens(1, RAIN_FROM, "rain", until=clock(RAIN_UNTIL))
        self._happens(1, DRY, "play_resumes")
        self._happens(1, SICK, "stringer_away", "S2", note="sick")
        dead = len(self.days) - 1
        self._happens(dead, DEAD, "machine_out", "M4", note="the clamp does not hold")
        self._happens(0, DEAD, "machine_out", "M1", until="13:00", note="the gripper slips")
        self._happens(0, 13 * 60 + 35, "machine_back", "M1")


def write(folder: Path, *, seed: int = 1, days: int = 3, stringers: int = 5) -> Path:
    """Write the week into FOLDER and return it."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("frames.csv", "strings.csv", "prices.csv"):
        shutil.copy(SAMPLE / name, folder / name)
    settings = (SAMPLE / "event.toml").read_text(encoding="utf-8").replace("harbour-week", "doubles-week")
    (folder / "event.toml").write_text(settings.replace("Harbour Week", "Doubles Week"), encoding="utf-8")
    random = Random(seed)
    week = Week(random, stringers, [(FIRST + timedelta(days=n)).isoformat() for n in range(days)])
    players = [f"P{n:02d}" for n in range(1, 57)]
    for number in range(days):
        week.day(number, players)
    week.go_wrong()
    for name, rows in _tables(week, players, stringers).items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)
    return folder


def _tables(week: Week, players: list[str], stringers: int) -> dict[str, list[Row]]:
    hands = range(1, stringers + 1)
    benches = range(1, stringers + 2)
    kinds = ["lockout" if n % 2 == 0 else "constant_pull" for n in benches]
    read_at = [(day, "07:05") for day in week.days] + [(week.days[0], "13:37")]
    return {
        "days": [["date", "opens", "closes"], *([day, clock(OPENS), clock(CLOSES)] for day in week.days)],
        "courts": [["name"], *([f"Court {n + 1}"] for n in range(COURTS))],
        "players": [["code", "name"], *([code, f"Player {code}"] for code in players)],
        "machines": [["code", "name", "kind"]]
        + [[f"M{n}", f"Bench {n}", kind] for n, kind in zip(benches, kinds, strict=True)],
        "stringers": [["code", "name", "home_machine", "pace"]]
        + [[f"S{n}", f"Hand {n}", f"M{n}", str(94 + 4 * n)] for n in hands],
        "shifts": [
            ["stringer", "day", "from", "to"],
            *(row for day in week.days for n in hands for row in _shifts(n, day)),
        ],
        "calibrations": [["day", "time", "machine", "reference", "reading", "by"]]
        + [
            [day, at, f"M{n}", kg, kg, "S1"]
            for day, at in read_at
            for n in (benches if at == "07:05" else [1])
            for kg in ("20 kg", "27 kg")
        ],
        "reels": [["code", "string", "kind", "metres", "owner", "place"]]
        + [[f"R{n}", STRINGS[n % 3], "reel", "200", "", "shelf A"] for n in range(30)],
        "matches": [
            ["code", "day", "court", "position", "format", "start_kind", "start", "side1", "side2"],
            *week.matches,
        ],
        "dropoffs": [
            ["day", "time", "player", "racquet", "frame", "mains_string", "mains_tension", "crosses_tension", *COURT],
            *sorted(week.drop_offs),
        ],
        "incidents": [["day", "time", "what", "which", "until", "winner", "note"], *sorted(week.incidents)],
    }


def _shifts(number: int, day: str) -> list[Row]:
    """Odd hands come early, even ones late, each with a break."""
    spans = (("07:30", "12:00"), ("12:40", "17:30")) if number % 2 else (("09:30", "14:00"), ("14:30", "20:30"))
    return [[f"S{number}", day, *span] for span in spans]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--days", type=int, default=3)
    parser.add_argument("--stringers", type=int, default=5)
    asked = parser.parse_args()
    write(asked.folder, seed=asked.seed, days=asked.days, stringers=asked.stringers)
