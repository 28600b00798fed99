"""Bars in SVG for the organiser's page: where each stands and what it says; the template only draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT, BASE, TOP = 360.0, 150.0, 126.0, 20.0
LYING_ROW, LYING_FROM, LYING_TO = 44.0, 0.0, 310.0


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One bar with its name and figure; `part` is the height of the part drawn in the accent, `mark` a line across."""

    name: str
    figure: str
    x: float
    y: float
    width: float
    height: float
    part: float = 0.0
    mark: float | None = None


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """Bars on one axis that begins at zero, and the same in words."""

    words: str
    height: float
    bars: tuple[Bar, ...]


def standing(
    names: Sequence[str],
    figures: Sequence[float],
    words: str,
    *,
    parts: Sequence[float] = (),
    marks: Sequence[float] = (),
) -> Drawing:
    """Bars side by side; PARTS of them are drawn in the accent, MARKS are lines across."""
    most = max([*figures, *marks, 1.0])
    step = WIDTH / max(len(figures), 1)
    scale = (BASE - TOP) / most
    bars = tuple(
        Bar(
            name=name,
            figure=f"{figure:g}",
            x=number * step + step * 0.15,
            y=BASE - figure * scale,
            width=step * 0.7,
            height=figure * scale,
            part=parts[number] * scale if parts else 0.0,
            mark=BASE - marks[number] * scale if marks else None,
        )
        for number, (name, figure) in enumerate(zip(names, figures, strict=True))
    )
    return Drawing(words=words, height=HEIGHT, bars=bars)


def lying(names: Sequence[str], figures: Sequence[float], words: str, *, short: float) -> Drawing:
    """Bars from left to right, one below the other; those below SHORT are drawn in the accent."""
    scale = (LYING_TO - LYING_FROM) / max([*figures, 1.0])
    bars = tuple(
        Bar(
            name=name,
            figure=f"{figure:.1f}",
            x=LYING_FROM,
            y=number * LYING_ROW + 20,
            width=figure * scale,
            height=LYING_ROW - 28,
            part=1.0 if figure < short else 0.0,
        )
        for number, (name, figure) in enumerate(zip(names, figures, strict=True))
    )
    return Drawing(words=words, height=LYING_ROW * max(len(bars), 1), bars=bars)
