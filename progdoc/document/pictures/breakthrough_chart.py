"""The predicted breakthrough curve of a cartridge against the shift, with its change points, as SVG.

Readable in grey and without colour: lines differ by dash and weight, and every line is named on the picture.
The same is said in words. A solid line is what leaves with the changes, a dashed one what would without them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from progdoc.core.numbers import interval_words, number_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_join
from progdoc.document.tree.nodes import Figure
from progdoc.rules.judged.cartridge_results import CartridgeChange

__all__ = ["breakthrough_figure"]

_WIDTH, _HEIGHT = 640, 300
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 620, 40, 240
_TOP_SHARE = 0.2  # as far as the model holds
_MOST_SHIFTS = 2.0
_FONT = 'font-family="DejaVu Sans Mono, monospace" font-size="11" fill="#111"'


def breakthrough_figure(change: CartridgeChange, language: Language = ENGLISH) -> Figure | None:
    """Return the picture of one cartridge in one task; None where the model gives no estimate."""
    estimate = change.life.estimate
    if estimate is None or len(change.life.curve) < 2:
        return None
    shift = change.shift_min
    ends = [at for at, _ in change.life.curve]
    span = min(max(shift, ends[-1] * 1.05), shift * _MOST_SHIFTS)
    label = change.part.name or change.part.id
    is_late = estimate.reached_min > span / 2.0
    svg = _svg(change, shift, span, _limit(estimate.breakthrough_fraction, is_late, language), language)
    return Figure(
        id=f"breakthrough.{change.task.id}.{change.mask.id}.{change.part.id}",
        caption=said(
            "Predicted breakthrough of %(cartridge)s in “%(task)s”, an estimate", cartridge=label, task=change.task.name
        ),
        alternative=_in_words(change, shift),
        svg=svg,
    )


def _in_words(change: CartridgeChange, shift: float) -> str:
    estimate = change.life.estimate
    if estimate is None:
        return ""
    percent = number_text(estimate.breakthrough_fraction * 100.0, "down")
    reached = number_text(estimate.reached_min, "down")
    safe = number_text(estimate.service_life_min, "down")
    points = change.changed_after_min
    when = said_join(map(interval_words, points), ", ")
    changes = (
        said("Changes within the shift after %(times)s, counted from its start.", times=when)
        if points
        else said("No change within the shift.")
    )
    return said(
        "Share of %(agent)s that leaves the cartridge, over a shift of %(hours)s h. It reaches %(percent)s %%, which"
        " counts as breakthrough, after %(reached)s min; with the safety factor the service life is %(life)s min."
        " %(changes)s",
        agent=change.life.governing,
        hours=number_text(shift / 60.0),
        percent=percent,
        reached=reached,
        life=safe,
        changes=changes,
    )


# ---- drawing ------------------------------------------------------------------------------------------


def _svg(change: CartridgeChange, shift: float, span: float, limit: Iterable[str], language: Language) -> str:
    points = change.changed_after_min
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img">',
        f'<rect width="{_WIDTH}" height="{_HEIGHT}" fill="#fff"/>',
        *_axes(shift, span, language),
        *limit,
        *_curve(change.life.curve, span),
        *_changed(change.life.curve, points, change.in_use_min, span),
        *_marks(points, span, language),
        "</svg>",
    ]
    return "".join(parts)


def _x(minutes: float, span: float) -> str:
    return f"{_LEFT + (_RIGHT - _LEFT) * minutes / span:.1f}"


def _y(share: float) -> str:
    return f"{_BOTTOM - (_BOTTOM - _TOP) * min(share, _TOP_SHARE) / _TOP_SHARE:.1f}"


def _line(x1: str, y1: str, x2: str, y2: str, look: str) -> str:
    return f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" {look}/>'


def _words(x: str, y: str, text: str, anchor: str = "start") -> str:
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" {_FONT}>{escape(text)}</text>'


def _axes(shift: float, span: float, language: Language) -> Iterable[str]:
    say = language.say
    yield (
        f'<rect x="{_LEFT}" y="{_TOP}" width="{float(_x(min(shift, span), span)) - _LEFT:.1f}"'
        f' height="{_BOTTOM - _TOP}" fill="#eee"/>'
    )
    yield _words(str(_LEFT + 6), str(_TOP + 14), say("shift"))
    black = 'stroke="#111" stroke-width="1"'
    yield _line(str(_LEFT), str(_BOTTOM), str(_RIGHT), str(_BOTTOM), black)
    yield _line(str(_LEFT), str(_TOP), str(_LEFT), str(_BOTTOM), black)
    for percent in (0, 5, 10, 15, 20):
        yield _words(str(_LEFT - 8), f"{float(_y(percent / 100.0)) + 4:.1f}", f"{percent} %", "end")
    step = 60 if span <= 720 else 120
    for minutes in range(0, int(span) + 1, step):
        yield _line(_x(minutes, span), str(_BOTTOM), _x(minutes, span), str(_BOTTOM + 5), black)
        yield _words(_x(minutes, span), str(_BOTTOM + 18), f"{minutes // 60} h", "middle")
    middle = str((_LEFT + _RIGHT) // 2)
    yield _words(middle, str(_BOTTOM + 36), say("time since the first cartridge was opened"), "middle")
    yield _words(str(_LEFT - 52), str(_TOP - 22), say("share of the vapour that leaves the cartridge"))


def _limit(share: float, is_reached_late: bool, language: Language) -> Iterable[str]:
    """Draw the line of breakthrough; its name stands where the curve is not."""
    yield _line(str(_LEFT), _y(share), str(_RIGHT), _y(share), 'stroke="#111" stroke-width="1" stroke-dasharray="2 3"')
    x, anchor = (str(_LEFT + 6), "start") if is_reached_late else (str(_RIGHT), "end")
    yield _words(x, f"{float(_y(share)) - 5:.1f}", language.say("counts as breakthrough"), anchor)


def _path(points: Sequence[tuple[float, float]], span: float, look: str) -> str:
    coordinates = " ".join(f"{_x(at, span)},{_y(share)}" for at, share in points)
    return f'<polyline points="{coordinates}" fill="none" {look}/>'


def _share_at(curve: Sequence[tuple[float, float]], minutes: float) -> float:
    """Return the share by straight lines between the points; nothing leaves before the first."""
    before = (0.0, 0.0)
    for at, share in curve:
        if minutes <= at:
            width = at - before[0]
            return before[1] + (share - before[1]) * (minutes - before[0]) / width if width > 0.0 else share
        before = (at, share)
    return before[1]


def _up_to(curve: Sequence[tuple[float, float]], end: float) -> list[tuple[float, float]]:
    kept = [(at, share) for at, share in curve if 0.0 <= at < end]
    return [(0.0, 0.0), *kept, *([(end, _share_at(curve, end))] if end <= curve[-1][0] else [])]


def _curve(curve: Sequence[tuple[float, float]], span: float) -> Iterable[str]:
    yield _path(_up_to(curve, span), span, 'stroke="#555" stroke-width="1.5" stroke-dasharray="7 4"')


def _changed(curve: Sequence[tuple[float, float]], points: Sequence[float], shift: float, span: float) -> Iterable[str]:
    """Draw what leaves when a new cartridge is put on at each change."""
    starts = [0.0, *points]
    ends = [*points, shift]
    for start, end in zip(starts, ends, strict=True):
        piece = [(start + at, share) for at, share in _up_to(curve, end - start) if start + at <= span]
        yield _path(piece, span, 'stroke="#111" stroke-width="3"')


def _marks(points: Sequence[float], span: float, language: Language) -> Iterable[str]:
    for i, at in enumerate(points):
        yield _line(_x(at, span), str(_TOP), _x(at, span), str(_BOTTOM), 'stroke="#111" stroke-width="1.5"')
        yield _words(_x(at, span), str(_TOP - 5), language.say("change") if i < 6 else "", "middle")
    key = language.say("thick: with the changes · dashed: one cartridge, never changed")
    yield _words(str(_LEFT), str(_HEIGHT - 6), key)
