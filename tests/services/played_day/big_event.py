"""An invented event of any size as a folder: what `day` takes for 500 racquets is measured on it.

    python -m tests.services.played_day.big_event FOLDER [--racquets 500] [--days 1] [--stringers 24]

then `/usr/bin/time -v python -m desk day FOLDER --out DIR`: seconds of computing (user), on the wall, and the most
memory. A fortnight of 4 000 racquets is `--racquets 286 --days 14`; some are refused, since the player's last ones are
still at the desk. Frames, string, prices and everything else is of the sample event.
"""

import argparse
import csv
import shutil
from datetime import date, timedelta
from pathlib import Path
from random import Random

SAMPLE = Path(__file__).parents[3] / "sample_events" / "riverside-one-day"
FIRST = date(2031, 5, 17)
COURTS = 12
VISIT = 2
"""Racquets that a player brings at once."""


def write(folder: Path, racquets: int, days: int, stringers: int, seed: int = 1) -> None:
    """Write an event in which as many racquets come each day as are given."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("frames.csv", "strings.csv", "prices.csv"):
        shutil.copy(SAMPLE / name, folder / name)
    settings = (SAMPLE / "event.toml").read_text(encoding="utf-8").replace("riverside-one-day", "big-event")
    (folder / "event.toml").write_text(settings, encoding="utf-8")
    dates = [(FIRST + timedelta(days=n)).isoformat() for n in range(days)]
    players = [f"P{n:03d}" for n in range(racquets // VISIT)]
    tables = {
        "days": [["date", "opens", "closes"], *([day, "07:00", "21:00"] for day in dates)],
        "courts": [["name"], *([f"Court {n + 1}"] for n in range(COURTS))],
        "machines": [["code", "name", "kind", "reach"]]
        + [[f"M{n}", f"Bench {n}", "constant_pull", "35 cm"] for n in range(1, stringers + 1)],
        "stringers": [["code", "name", "home_machine", "pace"]]
        + [[f"S{n}", f"Hand {n}", f"M{n}", "100"] for n in range(1, stringers + 1)],
        "shifts": [["stringer", "day", "from", "to"]]
        + [[f"S{n}", day, "07:00", "20:30"] for n in range(1, stringers + 1) for day in dates],
        "calibrations": [["day", "time", "machine", "reference", "reading", "by"]]
        + [
            [day, "06:40", f"M{n}", kg, kg, f"S{n}"]
            for day in dates
            for n in range(1, stringers + 1)
            for kg in ("20 kg", "27 kg")
        ],
        "players": [["code", "name"], *([code, f"Player {code}"] for code in players)],
        "reels": [["code", "string", "kind", "metres", "owner", "place"]]
        + [[f"R{n}", "TALUS125", "reel", "200", "", "shelf A"] for n in range(racquets * days // 16 + 2)],
        "matches": _matches(dates, players),
        "dropoffs": _drop_offs(dates, players, Random(seed)),
    }
    for name, rows in tables.items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)


def _matches(dates: list[str], players: list[str]) -> list[list[str]]:
    """Every second player of a day meets the next one; courts take their matches one after another from eleven."""
    rows = [["code", "day", "court", "position", "format", "start_kind", "start", "side1", "side2"]]
    for d, day in enumerate(dates):
        today = players[d % 2 :: 2][: COURTS * 2 * 6]
        for n, (one, other) in enumerate(zip(today[::2], today[1::2], strict=False)):
            turn, court = divmod(n, COURTS)
            when = ["at", "11:00"] if turn == 0 else ["followed_by", ""]
            rows.append([f"D{d}M{n}", day, f"Court {court + 1}", str(turn + 1), "best_of_3_men", *when, one, other])
    return rows


def _drop_offs(dates: list[str], players: list[str], random: Random) -> list[list[str]]:
    rows = [["day", "time", "player", "racquet", "frame", "mains_string", "mains_tension", "crosses_tension"]]
    for day in dates:
        visits = sorted((random.randrange(7 * 60, 18 * 60), code) for code in players)
        for minute, code in visits:
            at = f"{minute // 60:02d}:{minute % 60:02d}"
            rows += [[day, at, code, str(n), "LARCH98", "TALUS125", "24 kg", "23 kg"] for n in range(1, VISIT + 1)]
    return rows


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--racquets", type=int, default=500, help="a day")
    parser.add_argument("--days", type=int, default=1)
    parser.add_argument("--stringers", type=int, default=24)
    asked = parser.parse_args()
    write(asked.folder, asked.racquets, asked.days, asked.stringers)
