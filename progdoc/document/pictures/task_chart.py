"""The picture of a task: levels, limits and IDLH value of the agent that decides, and how far each mask reaches.

One logarithmic axis, black and greys only, so that a copier loses nothing; the same is said in words beside it. A bar
begins at the limit, since a mask reaches so many times as far, and figures stand in a column of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from math import ceil, floor, log10

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import number_text, text_of
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_in, said_join, same
from progdoc.document.tree.nodes import Figure
from progdoc.document.tree.spoken_text import plain
from progdoc.rules.judged.mask_results import Chart, ChartBar, ChartMark

__all__ = ["chart_svg", "task_figure"]

_WIDTH, _LEFT, _RIGHT = 680.0, 170.0, 130.0
_ROW, _TOP = 20.0, 10.0
_NAME_LENGTH = 28  # letters between the drawing's edge and the axis


def task_figure(chart: Chart, language: Language = ENGLISH) -> Figure:
    """Return the picture of a task, its conclusion for a caption."""
    return Figure(
        id=f"chart.{chart.task.id}",
        caption=_conclusion(chart),
        alternative=_in_words(chart),
        svg=chart_svg(chart, language),
    )


# ---- the same in words --------------------------------------------------------------------------------


def _conclusion(chart: Chart) -> str:
    level = text_of(chart.level, chart.unit, "up")
    limit = text_of(chart.limit, chart.unit, "down")
    reach = {bar.words: text_of(bar.value, chart.unit, "down") for bar in chart.bars if bar.is_adequate}
    masks = [said("%(mask)s may be worn up to %(level)s", mask=mask, level=value) for mask, value in reach.items()]
    return said(
        "%(agent)s: %(level)s where the limit is %(limit)s; %(masks)s",
        agent=chart.agent,
        level=level,
        limit=limit,
        masks=said_join(masks, "; ") or said("no mask here protects"),
    )


def _in_words(chart: Chart) -> str:
    def marks(found: Iterable[ChartMark], rounding: str) -> str:
        return said_join(
            (
                said("%(mark)s %(level)s", mark=one.words, level=text_of(one.value, chart.unit, rounding))
                for one in found
            ),
            "; ",
        )

    parts = [
        said(
            "Chart on a logarithmic axis in %(unit)s for %(agent)s in “%(task)s”.",
            unit=same(chart.unit),
            agent=chart.agent,
            task=chart.task.name,
        ),
        said("Levels: %(levels)s.", levels=marks(chart.levels, "up")),
    ]
    if chart.samples:
        samples = said_join((number_text(value, "up") for value in chart.samples), ", ")
        parts.append(said("Samples: %(samples)s.", samples=samples))
    parts.append(said("Lines: %(lines)s.", lines=marks(chart.lines, "down")))
    parts += [_reach(bar, chart.unit) for bar in chart.bars]
    return said_join(parts)


def _reach(bar: ChartBar, unit: str) -> str:
    level = text_of(bar.value, unit, "down")
    if bar.is_adequate:
        return said("%(mask)s may be worn up to %(level)s and protects in this task.", mask=bar.words, level=level)
    if bar.is_disproved:
        return said(
            "%(mask)s may be worn up to %(level)s and does not protect in this task.", mask=bar.words, level=level
        )
    return said(
        "%(mask)s may be worn up to %(level)s and is not shown to protect in this task.", mask=bar.words, level=level
    )


# ---- the drawing --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Axis:
    first: int  # decades
    last: int

    def x(self, value: float) -> float:
        share = (log10(value) - self.first) / (self.last - self.first)
        return _LEFT + share * (_WIDTH - _LEFT - _RIGHT)


def _axis(chart: Chart) -> _Axis:
    values = [*chart.samples, *(m.value for m in (*chart.levels, *chart.lines)), *(bar.value for bar in chart.bars)]
    first, last = floor(log10(min(values)) - 0.15), ceil(log10(max(values)) + 0.15)
    return _Axis(first, max(last, first + 1))


def chart_svg(chart: Chart, language: Language = ENGLISH) -> str:
    """Return the drawing; the same chart gives the same text."""
    axis = _axis(chart)
    rows = len(chart.lines) + len(chart.levels) + bool(chart.samples) + len(chart.bars)
    bottom = _TOP + _ROW * rows + 6.0
    height = bottom + 40.0
    body = "".join(_body(chart, axis, bottom, language))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH:g}" height="{height:g}"'
        f' viewBox="0 0 {_WIDTH:g} {height:g}" font-family="Libertinus Serif, Georgia, serif" font-size="13">'
        '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse">'
        '<rect width="6" height="6" fill="#ffffff"/><path d="M0 6 L6 0" stroke="#333333" stroke-width="1.2"/></pattern>'
        f'</defs><rect width="{_WIDTH:g}" height="{height:g}" fill="#ffffff"/>{body}</svg>'
    )


def _body(chart: Chart, axis: _Axis, bottom: float, language: Language) -> Iterator[str]:
    yield from _grid(axis, bottom, chart.unit)
    y = _TOP + _ROW / 2
    for mark in chart.lines:
        yield from _line(mark, axis, y, bottom, chart.unit, language)
        y += _ROW
    for bar in chart.bars:
        yield from _bar(bar, axis, y, chart)
        y += _ROW
    if chart.samples:
        yield _name(said("samples"), y, language)
        yield from (_circle(axis.x(value), y, 3.5, "#ffffff") for value in chart.samples)
        y += _ROW
    for mark in chart.levels:
        yield _name(mark.words, y, language)
        yield _circle(axis.x(mark.value), y, 5.0, "#000000")
        yield _value(text_of(mark.value, chart.unit, "up"), y)
        y += _ROW


def _grid(axis: _Axis, bottom: float, unit: str) -> Iterator[str]:
    for decade in range(axis.first, axis.last + 1):
        x = axis.x(10.0**decade)
        yield f'<path d="M{x:.1f} {_TOP:g} V{bottom:g}" stroke="#cccccc" stroke-width="0.7"/>'
        label = number_text(10.0**decade)
        yield f'<text x="{x:.1f}" y="{bottom + 14:g}" text-anchor="middle" fill="#333333">{label}</text>'
    yield f'<path d="M{_LEFT:g} {bottom:g} H{_WIDTH - _RIGHT:g}" stroke="#000000" stroke-width="1"/>'
    middle = (_LEFT + _WIDTH - _RIGHT) / 2
    yield f'<text x="{middle:.1f}" y="{bottom + 30:g}" text-anchor="middle" fill="#000000">{escape(unit)}</text>'


def _line(mark: ChartMark, axis: _Axis, y: float, bottom: float, unit: str, language: Language) -> Iterator[str]:
    """A limit is a full line, the action level dashed, IDLH thick: told apart without colour."""
    x = axis.x(mark.value)
    look = {"IDLH": 'stroke-width="4"', "action level": 'stroke-width="1.2" stroke-dasharray="4 3"'}
    drawn = look.get(mark.words, 'stroke-width="1.8"')
    yield _name(mark.words, y, language)
    yield f'<path d="M{x:.1f} {y - 8:.1f} V{bottom:g}" stroke="#000000" {drawn}/>'
    yield _value(text_of(mark.value, unit, "down"), y)


def _bar(bar: ChartBar, axis: _Axis, y: float, chart: Chart) -> Iterator[str]:
    left, right = sorted((axis.x(chart.limit), axis.x(bar.value)))
    fill = "#d9d9d9" if bar.is_adequate else "url(#hatch)"
    yield _name(f"{'✓' if bar.is_adequate else '✗'} {bar.words}", y, ENGLISH)  # as the firm calls it
    yield (
        f'<rect x="{left:.1f}" y="{y - 7:.1f}" width="{max(right - left, 0.5):.1f}" height="14" fill="{fill}"'
        ' stroke="#000000" stroke-width="0.8" fill-opacity="0.85"/>'
    )
    yield _value(text_of(bar.value, chart.unit, "down"), y)


def _name(named: str, y: float, language: Language) -> str:
    words = plain(said_in(language, named))
    shown = words if len(words) <= _NAME_LENGTH else words[: _NAME_LENGTH - 1] + "…"
    return f'<text x="{_LEFT - 8:g}" y="{y + 4:.1f}" text-anchor="end" fill="#000000">{escape(shown)}</text>'


def _value(words: str, y: float) -> str:
    return f'<text x="{_WIDTH - _RIGHT + 10:g}" y="{y + 4:.1f}" fill="#000000">{escape(words)}</text>'


def _circle(x: float, y: float, radius: float, fill: str) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="{fill}" stroke="#000000" stroke-width="1.2"/>'
