"""Pictures of a rehearsal as SVG: the work of each hour against the hands, and promises against their pad.

Shapes take their colour from the page by class (``work``, ``hands``, ``band``), so that a dark page turns them too;
a file of its own has the colours in it.
"""

from collections.abc import Sequence
from xml.sax.saxutils import escape

from exports.rehearsal.rehearsal_rows import RehearsedHourRow, RehearsedPromiseRow
from exports.text import clean

BAR, HEIGHT, LEFT, TOP, FOOT = 34, 180, 34, 26, 40
COLOURS = {"work": "#000000", "hands": "#b4400a", "band": "#595959", "axis": "#595959"}
"""Black on paper-white and the one accent, as the sheets have them."""


def load_picture(rows: Sequence[RehearsedHourRow], title: str, *, alone: bool = False) -> str:
    """Return a day's hours: bars of bench hours that come with their bands, and the line of hands on shift.

    Parameters
    ----------
    rows
        The hours of one day and team, in order.
    title
        What it shows, for those who hear it.
    alone
        True: a file of its own, with its colours and its size.
    """
    top = max([1.0, *(max(row.work_h.high, row.hands) for row in rows)])
    width = LEFT + BAR * len(rows) + 8
    parts = _axis(_levels(top), top, width, alone)
    steps = []
    for i, row in enumerate(rows):
        x = LEFT + BAR * i
        y = TOP + _y(row.work_h.mean, top)
        parts.append(
            f'<rect class="work" x="{x + 7}" y="{y:.1f}" width="{BAR - 14}" height="{TOP + HEIGHT - y:.1f}"'
            f'{_fill("work", alone)} fill-opacity="0.75"><title>{_said(row)}</title></rect>'
        )
        middle = x + BAR / 2
        low, high = (TOP + _y(value, top) for value in (row.work_h.low, row.work_h.high))
        parts.append(_line(middle, low, middle, high, "band", 2, alone))
        parts.append(_text(middle, TOP + HEIGHT + 16, row.hour, "middle"))
        hands = TOP + _y(row.hands, top)
        steps += [f"{x},{hands:.1f}", f"{x + BAR},{hands:.1f}"]
    parts.append(_joined(steps, alone))
    if alone:
        parts.append(_text(LEFT, 12, "hands needed: bars, and their band; on shift: line"))
    return _svg(width, TOP + HEIGHT + FOOT - 16, title, parts)


def promise_picture(rows: Sequence[RehearsedPromiseRow], title: str, *, alone: bool = False) -> str:
    """Return the share of promises kept by the minutes added to the foreseen end, with its band."""
    width = LEFT + BAR * len(rows) + 8
    parts = _axis((0, 50, 90, 100), 100, width, alone)
    points = []
    for i, row in enumerate(rows):
        x = LEFT + BAR * i + BAR / 2
        low, high = (TOP + _y(value, 100) for value in (row.kept_pct.low, row.kept_pct.high))
        parts.append(_line(x, low, x, high, "band", 2, alone))
        parts.append(_text(x, TOP + HEIGHT + 16, f"{row.pad_min}", "middle"))
        points.append(f"{x},{TOP + _y(row.kept_pct.mean, 100):.1f}")
    parts.append(_joined(points, alone))
    if alone:
        parts.append(_text(LEFT, 12, "promises kept, %, by minutes added to the foreseen end"))
    return _svg(width, TOP + HEIGHT + FOOT - 16, title, parts)


def _said(row: RehearsedHourRow) -> str:
    return escape(
        f"{clean(row.day)} {clean(row.hour)}: {row.work_h.mean:.1f} bench hours come "
        f"({row.work_h.low:.1f} to {row.work_h.high:.1f}), {row.hands:.1f} hands on shift"
    )


def _y(value: float, top: float) -> float:
    return HEIGHT * (1 - value / top)


def _levels(top: float) -> list[int]:
    step = 1 if top <= 6 else 2 if top <= 12 else 5
    return list(range(0, int(top) + 1, step))


def _axis(levels: Sequence[int], top: float, width: float, alone: bool) -> list[str]:
    """The figures at the left, then a line across for each."""
    heights = [TOP + _y(level, top) for level in levels]
    figures = [_text(0, y + 4, f"{level}") for level, y in zip(levels, heights, strict=True)]
    return figures + [_line(LEFT, y, width, y, "axis", 1, alone) for y in heights]


def _joined(points: Sequence[str], alone: bool) -> str:
    stroke = _stroke("hands", alone)
    return f'<polyline class="hands" points="{" ".join(points)}" fill="none" stroke-width="3"{stroke}/>'


def _line(x1: float, y1: float, x2: float, y2: float, kind: str, width: int, alone: bool) -> str:
    faint = ' stroke-opacity="0.25"' if kind == "axis" else ""
    place = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    return f'<line class="{kind}" {place} stroke-width="{width}"{faint}{_stroke(kind, alone)}/>'


def _text(x: float, y: float, text: str, anchor: str = "start") -> str:
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
    return f'<text {place} font-size="12" font-family="sans-serif">{escape(clean(text))}</text>'


def _fill(kind: str, alone: bool) -> str:
    return f' fill="{COLOURS[kind]}"' if alone else ""


def _stroke(kind: str, alone: bool) -> str:
    return f' stroke="{COLOURS[kind]}"' if alone else ""


def _svg(width: float, height: float, title: str, parts: Sequence[str]) -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img"'
    return (
        f'{head} width="{width:.0f}" height="{height:.0f}"><title>{escape(clean(title))}</title>{"".join(parts)}</svg>'
    )
