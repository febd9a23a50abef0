"""A plot of a finding as SVG: axes with numbers, lines told apart by dash and mark and named in words.

Colours and widths come from the style sheet of the document around it, so that black and white paper loses nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from markupsafe import Markup

from waytell.documents.proving import Plot, Series
from waytell.proving.quantity_words import number

WIDTH, HEIGHT = 640.0, 240.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 16.0, 24.0, 44.0
"""Room around the field: for the numbers, and for what is plotted."""
ROW, LETTER, KEY = 18.0, 6.4, 44.0
"""Of the legend: height of a row, width of a letter as it is reckoned, room for the sample of a line."""
MOST_TICKS = 7
MOST_MARKS = 60
"""With more points than this marks run into one another."""
ROOM = 0.06
"""Share of the span left free at each end."""

SVG = Markup('<svg class="plot" viewBox="0 0 {width:g} {height:g}" role="img" aria-label="{label}">{drawn}</svg>')
TICK_ACROSS = Markup(
    '<path class="grid" d="M{at:.1f} {top:g}V{foot:g}"/><text class="tick" text-anchor="middle" x="{at:.1f}" '
    'y="{y:g}">{text}</text>'
)
TICK_UP = Markup(
    '<path class="{kind}" d="M{left:g} {at:.1f}H{right:g}"/><text class="tick" text-anchor="end" x="{x:g}" '
    'y="{y:.1f}">{text}</text>'
)
NAME = Markup('<text class="name" text-anchor="{anchor}" x="{x:.1f}" y="{y:.1f}">{text}</text>')
FRAME = Markup('<path class="frame" d="M{left:g} {top:g}V{foot:g}H{right:g}"/>')
LINE = Markup('<path class="line line-{look}" stroke-dasharray="{dash}" d="{d}"/>')
MARKS = Markup('<path class="mark mark-{look}" d="{d}"/>')


class Look(NamedTuple):
    """Dash of a line, and the outline of a mark around a place."""

    dash: str
    mark: Callable[[float, float], str]


def _round(x: float, y: float) -> str:
    return f"M{x - 3.2:.1f} {y:.1f}a3.2 3.2 0 1 0 6.4 0a3.2 3.2 0 1 0 -6.4 0Z"


def _square(x: float, y: float) -> str:
    return f"M{x - 3:.1f} {y - 3:.1f}h6v6h-6Z"


def _corner(x: float, y: float) -> str:
    return f"M{x:.1f} {y - 4:.1f}l4 7h-8Z"


def _tilted(x: float, y: float) -> str:
    return f"M{x:.1f} {y - 4.4:.1f}l4.4 4.4l-4.4 4.4l-4.4 -4.4Z"


def _tip(x: float, y: float) -> str:
    return f"M{x:.1f} {y + 4:.1f}l4 -7h-8Z"


def _plus(x: float, y: float) -> str:
    return f"M{x - 4:.1f} {y:.1f}h8M{x:.1f} {y - 4:.1f}v8"


LOOKS = (
    Look("none", _round), Look("7 4", _corner), Look("2 3", _square), Look("10 3 2 3", _tilted), Look("1 4", _tip),
    Look("4 2", _plus),
)  # fmt: skip
"""In the order of the series; a seventh begins again."""


def plot_svg(plot: Plot) -> Markup:
    """Empty where nothing is to be seen: no points."""
    points = [point for series in plot.series for point in series.points]
    if not points:
        return Markup()
    field = Field(points)
    lines = [one for one in enumerate(plot.series) if one[1].points]
    legend = _rows(plot.series)
    drawn = [*_axes(plot, field), *(_line(n, series, field) for n, series in lines), *_legend(legend)]
    return SVG.format(
        width=WIDTH, height=HEIGHT + ROW * len(legend) + 2, label=plot_words(plot), drawn=Markup().join(drawn)
    )


def plot_words(plot: Plot) -> str:
    """The plot for whoever cannot see it.

    >>> plot_words(Plot(across="place, mm", up="error, um", series=(Series(name="on", points=((0, 1.5), (9, -2))),)))
    'error, um over place, mm. on: −2 to 1.5'
    """
    ranges = [
        f"{one.name}: {_short(min(y for _, y in one.points))} to {_short(max(y for _, y in one.points))}"
        for one in plot.series
        if one.points
    ]
    return f"{plot.up} over {plot.across}. {'; '.join(ranges)}"


def _short(value: float) -> str:
    return f"{value:.3g}".replace("-", "−")


class Field:
    """Where a point lies on the paper."""

    def __init__(self, points: Sequence[tuple[float, float]]) -> None:
        self._across = _span([x for x, _ in points])
        self._up = _span([y for _, y in points])
        self.right, self.foot = WIDTH - RIGHT, HEIGHT - BOTTOM

    @property
    def ticks_across(self) -> list[float]:
        return ticks(*self._across)

    @property
    def ticks_up(self) -> list[float]:
        return ticks(*self._up)

    def x(self, value: float) -> float:
        low, high = self._across
        return LEFT + (value - low) / (high - low) * (self.right - LEFT)

    def y(self, value: float) -> float:
        low, high = self._up
        return self.foot - (value - low) / (high - low) * (self.foot - TOP)


def _span(values: Sequence[float]) -> tuple[float, float]:
    """From the lowest to the highest with room at the ends; something even where all are the same."""
    low, high = min(values), max(values)
    room = (high - low) * ROOM or max(abs(high) * 0.1, 1.0)
    return low - room, high + room


def ticks(low: float, high: float) -> list[float]:
    """Round values between two, 1, 2 or 5 of some power of ten apart, as many as fit but no more than MOST_TICKS.

    >>> ticks(-2.3, 11)
    [-2.0, 0.0, 2.0, 4.0, 6.0, 8.0, 10.0]
    """
    step = _step((high - low) / MOST_TICKS)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [float(f"{n * step:.10g}") for n in range(first, last + 1)]


def _step(least: float) -> float:
    power = 10.0 ** math.floor(math.log10(least))
    return next(nice * power for nice in (1, 2, 5, 10) if nice * power >= least * (1 - 1e-9))


def _digits(values: Sequence[float]) -> int:
    """As many behind the point as tell the values apart."""
    return max((len(f"{one:.9f}".rstrip("0").partition(".")[2]) for one in values), default=0)


def _axes(plot: Plot, field: Field) -> Iterator[Markup]:
    across, up = field.ticks_across, field.ticks_up
    foot, right = field.foot, field.right
    for value in across:
        text = number(value, _digits(across))
        yield TICK_ACROSS.format(at=field.x(value), top=TOP, foot=foot, y=foot + 15, text=text)
    for value in up:
        at, text = field.y(value), number(value, _digits(up))
        kind = "grid" if value else "zero"
        yield TICK_UP.format(kind=kind, left=LEFT, right=right, at=at, x=LEFT - 7, y=at + 4, text=text)
    yield FRAME.format(left=LEFT, top=TOP, foot=foot, right=right)
    yield NAME.format(anchor="middle", x=(LEFT + right) / 2, y=foot + 33, text=plot.across)
    yield NAME.format(anchor="start", x=8.0, y=13.0, text=plot.up)


def _line(n: int, series: Series, field: Field) -> Markup:
    look = LOOKS[n % len(LOOKS)]
    places = [(field.x(x), field.y(y)) for x, y in series.points]
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)
    marks = "".join(look.mark(x, y) for x, y in places) if len(places) <= MOST_MARKS else ""
    return _drawn(n, path, marks)


def _drawn(n: int, path: str, marks: str) -> Markup:
    look = n % len(LOOKS)
    line = LINE.format(look=look, dash=LOOKS[look].dash, d=path)
    return line + MARKS.format(look=look, d=marks) if marks else line


def _rows(series: Sequence[Series]) -> list[list[tuple[float, int, str]]]:
    """The legend: rows of (place, number of the line, its name), as many in a row as fit."""
    rows: list[list[tuple[float, int, str]]] = []
    x = WIDTH
    for n, one in enumerate(series):
        if not one.points:
            continue
        wide = KEY + LETTER * len(one.name) + 18
        if x + wide > WIDTH - RIGHT:
            rows.append([])
            x = LEFT
        rows[-1].append((x, n, one.name))
        x += wide
    return rows


def _legend(rows: Sequence[Sequence[tuple[float, int, str]]]) -> Iterator[Markup]:
    for row, places in enumerate(rows):
        y = HEIGHT + ROW * row + 8
        for x, n, name in places:
            middle = LOOKS[n % len(LOOKS)].mark(x + (KEY - 8) / 2, y)
            yield _drawn(n, f"M{x:.1f} {y:.1f}h{KEY - 8:g}", middle)
            yield NAME.format(anchor="start", x=x + KEY, y=y + 4, text=name)
