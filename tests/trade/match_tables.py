"""Real matches read from open result tables: how long each lasted, and how it ended.

Reads any CSV with the columns of "Tennis databases, files, and algorithms" by Jeff Sackmann / Tennis Abstract
(CC BY-NC-SA 4.0): one row a match with event, round, score and minutes; and its point-by-point tables, which
give the time of every point and so the end of every set. The tables stay outside the repository.
"""

import csv
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

ROUNDS = ("Q1", "Q2", "Q3", "R128", "R64", "R32", "R16", "RR", "QF", "SF", "BR", "F")
SHORTEST_MIN, LONGEST_MIN = 25, {"men_3": 300, "women_3": 300, "men_5": 480, "doubles": 240}
_RESULTS = {"tourney_id", "surface", "round", "score", "best_of", "minutes"}
_POINTS = {"match_id", "ElapsedTime", "SetNo"}


@dataclass(frozen=True, kw_only=True)
class RealMatch:
    """A match as it was: `fate` is completed, retired or walkover; `set_ends` minutes into it, where known."""

    event: str
    year: int
    surface: str
    level: str
    round: int
    format: str
    minutes: int
    fate: str
    set_ends: tuple[int, ...] = ()


def read_matches(folder, first_year=0, last_year=9999):
    """Every usable match of the result tables below FOLDER, in the order of the files."""
    found = []
    for path in sorted(Path(folder).rglob("*.csv")):
        with path.open(encoding="utf-8-sig", newline="", errors="replace") as lines:
            rows = csv.DictReader(lines)
            if rows.fieldnames and set(rows.fieldnames) >= _RESULTS:
                women, doubles = "wta" in path.name, "winner1_id" in rows.fieldnames
                found += [m for row in rows if (m := _result(row, women, doubles)) is not None]
    return [match for match in found if first_year <= match.year <= last_year]


def read_matches_by_set(folder):
    """Every singles match of the point-by-point tables below FOLDER, with the ends of its sets."""
    found = []
    for path in sorted(Path(folder).rglob("*-points.csv")):
        with path.open(encoding="utf-8-sig", newline="", errors="replace") as lines:
            rows = csv.DictReader(lines)
            if not rows.fieldnames or not set(rows.fieldnames) >= _POINTS:
                continue
            by_match = defaultdict(list)
            for row in rows:
                by_match[row["match_id"]].append((_minutes(row["ElapsedTime"]), int(row["SetNo"] or 0)))
        found += [m for name, points in by_match.items() if (m := _by_set(name, points)) is not None]
    return found


def _result(row, women, doubles):
    score, level = row["score"].strip(), row["tourney_level"]
    name = _format(row["best_of"], women, doubles)
    usual = level != "D" and (name == "men_5") == (level == "G" and not women and not doubles)
    if name is None or not usual or row["round"] not in ROUNDS or (doubles and level == "G"):
        return None
    fate = "completed"
    if "W/O" in score or "Walkover" in score:
        fate = "walkover"
    elif any(word in score for word in ("RET", "DEF", "Def", "ABN", "Ret")):
        fate = "retired"
    minutes = 0 if fate == "walkover" else int(float(row["minutes"] or 0))
    least = {"walkover": 0, "retired": 1}.get(fate, SHORTEST_MIN)
    if not score or not least <= minutes <= LONGEST_MIN[name]:
        return None
    tour = "women" if women else "doubles" if doubles else "men"
    return RealMatch(
        event=f"{tour} {row['tourney_id']}", year=int(row["tourney_date"][:4]), surface=row["surface"] or "unknown",
        level=level, round=ROUNDS.index(row["round"]), format=name, minutes=minutes, fate=fate,
    )  # fmt: skip


def _format(best_of, women, doubles):
    if doubles:
        return "doubles" if best_of == "3" else None
    return {"3": "women_3" if women else "men_3", "5": None if women else "men_5"}.get(best_of)


def _by_set(name, points):
    year, event, number = name.split("-")
    draw = {"1": "men_5", "2": "women_3"}.get(number[0])
    if draw is None or any(at is None for at, _ in points):
        return None
    ends = [max(at for at, number in points if number == one) for one in sorted({n for _, n in points if n})]
    growing = all(earlier < later for earlier, later in zip([0, *ends], ends, strict=False))
    if not ends or not growing or not SHORTEST_MIN <= ends[-1] <= LONGEST_MIN[draw]:
        return None
    surface = {"wimbledon": "Grass", "frenchopen": "Clay"}.get(event, "Hard")
    return RealMatch(
        event=f"{event} {year}", year=int(year), surface=surface, level="G", round=int(number[1]),
        format=draw, minutes=ends[-1], fate="completed", set_ends=tuple(ends),
    )  # fmt: skip


def _minutes(elapsed):
    parts = elapsed.split(":")
    return int(parts[0]) * 60 + int(parts[1]) if len(parts) == 3 and all(p.isdigit() for p in parts) else None
