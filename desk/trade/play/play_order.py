"""Which match waits for which: the order in which starts are computed, and what makes it impossible."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from desk.trade.errors import PlayError
from desk.trade.play.match_figures import check_sets, match_format
from desk.trade.play.match_length import length
from desk.trade.play.play import ENDED, NOT_PLAYED, PlayMatch, PlaySettings


@dataclass(frozen=True)
class PlayOrder:
    """The matches, causes first; the match before each on its court; what each one's players wait for."""

    matches: tuple[PlayMatch, ...]
    by_key: Mapping[str, PlayMatch]
    before: Mapping[str, str | None]
    waits_for: Mapping[str, tuple[str, ...]]
    opening: Mapping[int, int]

    def between(self, earlier: str, later: str) -> list[PlayMatch] | None:
        """The matches between two on one court, or None when `earlier` is not before `later` there."""
        found: list[PlayMatch] = []
        key = self.before[later]
        while key is not None and key != earlier:
            found.insert(0, self.by_key[key])
            key = self.before[key]
        return None if key is None else found


def order_play(matches: Sequence[PlayMatch], settings: PlaySettings) -> PlayOrder:
    """Check the order of play and put causes first; a cycle of "winner of" is refused."""
    by_key = _by_key(matches)
    before = _court_chains(matches)
    opening = _opening(matches)
    rough = _rough_starts(by_key, before, opening, settings)
    ordered = tuple(sorted(matches, key=lambda match: (not match.begun, rough[match.key], match.day, match.key)))
    return PlayOrder(ordered, by_key, before, _waits(ordered), opening)


def _by_key(matches: Iterable[PlayMatch]) -> dict[str, PlayMatch]:
    found: dict[str, PlayMatch] = {}
    for match in matches:
        if match.key in found:
            raise PlayError("It stands twice in the order of play", f"Match {match.key}", "Remove one.")
        _check(match)
        found[match.key] = match
    for match in found.values():
        for feeder in match.feeders:
            if feeder not in found:
                raise PlayError(
                    f"It waits for the winner of {feeder}, which is not in the order of play",
                    f"Match {match.key}",
                    "Add that match or name the player.",
                )
    return found


def _check(match: PlayMatch) -> None:
    where = f"Match {match.key}"
    match_format(match.format)
    if match.start_kind != "followed_by" and match.start_at_min is None:
        raise PlayError("At or not before has no time", where, "Give the time or make it followed by.")
    if match.state in ENDED and match.ended_min is None:
        raise PlayError("It is over without an end", where, "Give the time at which it ended.")
    if match.state in {"in_play", "suspended"}:
        check_sets(match.format, match.sets_done)
        if match.started_min is None:
            raise PlayError("It is on without a start", where, "Give the time at which it started.")
    if match.state == "suspended" and match.suspended_min is None:
        raise PlayError("It is suspended since no time", where, "Give the time at which play stopped.")


def _court_chains(matches: Iterable[PlayMatch]) -> dict[str, str | None]:
    courts: dict[tuple[int, str], list[PlayMatch]] = {}
    for match in matches:
        courts.setdefault((match.day, match.court), []).append(match)
    before: dict[str, str | None] = {}
    for (_, court), chain in courts.items():
        chain.sort(key=_place_on_court)
        _check_court(court, chain)
        keys = [match.key for match in chain]
        before.update(zip(keys, [None, *keys[:-1]], strict=True))
    return before


def _place_on_court(match: PlayMatch) -> tuple[int, int, str]:
    """Those that are over as they ended, the one in play, the rest by position."""
    if match.state in ENDED:
        return (0, match.ended_min or 0, match.key)
    return (1 if match.state == "in_play" else 2, match.position, match.key)


def _check_court(court: str, chain: Sequence[PlayMatch]) -> None:
    on = [match.key for match in chain if match.state == "in_play"]
    if len(on) > 1:
        raise PlayError(f"Matches {' and '.join(on)} are both in play", court, "Mark the earlier as finished.")
    waiting = [match for match in chain if match.state == "scheduled"]
    for one, other in pairwise(waiting):
        if one.position == other.position:
            raise PlayError(
                f"Matches {one.key} and {other.key} both stand at position {one.position}",
                court,
                "Give them an order.",
            )


def _opening(matches: Iterable[PlayMatch]) -> dict[int, int]:
    """The earliest known time of each day: then a court opens whose first match has no time of its own."""
    opening: dict[int, int] = {}
    for match in matches:
        at = match.known_from_min
        if at is not None and match.state != "suspended":
            opening[match.day] = min(at, opening.get(match.day, at))
    return opening


def _rough_starts(
    by_key: Mapping[str, PlayMatch],
    before: Mapping[str, str | None],
    opening: Mapping[int, int],
    settings: PlaySettings,
) -> dict[str, float]:
    """A start for each match that grows along courts and winners: enough to order them by."""
    rough: dict[str, float] = {}
    causes = {
        key: [cause for cause in (before[key], *match.feeders) if cause is not None] for key, match in by_key.items()
    }
    for key in _causes_first(causes):
        match = by_key[key]
        floor = match.known_from_min
        earliest = [opening.get(match.day, 0) if floor is None else floor]
        rough[key] = max(earliest + [_rough_end(by_key[cause], rough[cause], settings) for cause in causes[key]])
    return rough


def _rough_end(match: PlayMatch, start: float, settings: PlaySettings) -> float:
    if match.state in NOT_PLAYED:
        return start + 0.01
    return start + length(match.format, settings.scale).mean + settings.between_median_min


def _causes_first(causes: Mapping[str, Sequence[str]]) -> list[str]:
    done: list[str] = []
    settled: set[str] = set()
    for key in causes:
        path: list[str] = []
        _visit(key, causes, path, settled, done)
    return done


def _visit(key: str, causes: Mapping[str, Sequence[str]], path: list[str], settled: set[str], done: list[str]) -> None:
    if key in path:
        circle = [*path[path.index(key) :], key]
        raise PlayError(
            f"They wait for each other: {' waits for '.join(circle)}",
            f"Match {key}",
            "Correct the order on the court or the winner of.",
        )
    if key in settled:
        return
    path.append(key)
    for cause in causes[key]:
        _visit(cause, causes, path, settled, done)
    path.pop()
    settled.add(key)
    done.append(key)


def _waits(ordered: Sequence[PlayMatch]) -> dict[str, tuple[str, ...]]:
    """The last match of each player before this one, and the matches whose winners play."""
    latest: dict[str, str] = {}
    waits: dict[str, tuple[str, ...]] = {}
    for match in ordered:
        causes = [latest[player] for player in match.players if player in latest]
        waits[match.key] = tuple(dict.fromkeys([*causes, *match.feeders])) if match.to_come else ()
        if match.state not in NOT_PLAYED:
            latest.update(dict.fromkeys(match.players, match.key))
    return waits
