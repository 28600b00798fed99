"""Plain factories for orders of play, and a simulated day that knows nothing of the convolution."""

import numpy as np

from desk.trade.play.play import PlayMatch, PlaySettings


def make_match(key="1", **over):
    boring = {"court": "Court 1", "position": int(key) if key.isdigit() else 1, "format": "men_3"}
    return PlayMatch(key=key, **(boring | over))


def make_court(count, court="Court 1", first_at=660, **over):
    """`count` matches on one court: the first at a time, the others followed by."""
    first = make_match("1", court=court, start_kind="at", start_at_min=first_at, **over)
    return [first, *(make_match(str(k), court=court, **over) for k in range(2, count + 1))]


def points_of(starts, *keys):
    return [starts[key].points() for key in keys]


EXACTLY_15 = PlaySettings(between_least_min=15, between_median_min=15)

MIXTURES = {
    "men_3": ((0.637, 4.4715, 0.2072), (0.363, 4.9465, 0.1695)),
    "women_3": ((0.659, 4.4300, 0.2177), (0.341, 4.9331, 0.1748)),
    "men_5": ((0.445, 4.8177, 0.1800), (0.341, 5.1678, 0.1531), (0.214, 5.4204, 0.1367)),
    "doubles": ((1.0, 4.307, 0.222),),
}
EARLY = {
    "men_3": (0.0074, 0.025, 56, 0.6),
    "women_3": (0.0092, 0.031, 60, 0.6),
    "men_5": (0.0054, 0.029, 92, 0.45),
    "doubles": (0.025, 0.025, 41, 0.6),
}


def simulated_lengths(name, rng, n):
    """Minutes of n matches by Monte Carlo: 0 is a walkover."""
    walkover, retired, median, sigma = EARLY[name]
    weights = np.array([part[0] for part in MIXTURES[name]])
    which = rng.choice(len(weights), size=n, p=weights / weights.sum())
    mu, sd = (np.array([part[i] for part in MIXTURES[name]])[which] for i in (1, 2))
    minutes = np.exp(rng.normal(mu, sd))
    fate = rng.random(n)
    minutes = np.where(fate < walkover + retired, np.exp(rng.normal(np.log(median), sigma, n)), minutes)
    return np.where(fate < walkover, 0.0, minutes)


def simulated_gaps(rng, n):
    """Minutes between two matches by Monte Carlo."""
    return np.exp(rng.normal(np.log(23), np.log(23 / 15) / 1.6449, n))
