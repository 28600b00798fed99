"""How often play started before the computed points, on real match days kept aside.

`python -m tests.trade.measure_starts FOLDER [--years 2016-2019] [--per-cent 93] [--by format]`: FOLDER holds open
result tables (see match_tables). Asked for: before the 5 % point in 2 to 9 %, before the 50 % point in 35 to 65 %.
"""

import argparse

from tests.trade.court_days import court_days, measure
from tests.trade.match_tables import read_matches, read_matches_by_set

GROUPINGS = ("all", "format", "surface", "year", "level")


def report(measured, groupings=GROUPINGS, least=200):
    """Lines of a table, one a group of at least LEAST starts."""
    yield f"{'known':24} {'group':22} {'n':>7} {'< 5 %':>7} {'< 50 %':>7}"
    for grouping in groupings:
        for (known, by, group), tally in measured.tallies.items():
            if by == grouping and tally.n >= least:
                early, half = tally.shares
                mark = "" if tally.holds else "  outside"
                yield f"{known:24} {group:22} {tally.n:7} {early:7.1%} {half:7.1%}{mark}"


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder")
    asked.add_argument("--years", default="0-9999")
    asked.add_argument("--by", choices=GROUPINGS, action="append")
    asked.add_argument("--surface", help="only events on this surface")
    asked.add_argument("--per-cent", type=int, default=100, help="length of matches set for the events")
    asked.add_argument("--unlearned", action="store_true", help="let the events' matches teach nothing")
    asked.add_argument("--by-set", action="store_true", help="read the point-by-point tables")
    asked.add_argument("--least", type=int, default=200)
    told = asked.parse_args()
    first, last = (int(year) for year in told.years.split("-"))
    matches = read_matches_by_set(told.folder) if told.by_set else read_matches(told.folder, first, last)
    matches = [match for match in matches if told.surface in (None, match.surface)]
    print(f"{len(matches)} matches of {len({match.event for match in matches})} events")
    measured = measure(court_days(matches), told.per_cent / 100, learn=not told.unlearned)
    for line in report(measured, told.by or GROUPINGS, told.least):
        print(line)


if __name__ == "__main__":
    main()
