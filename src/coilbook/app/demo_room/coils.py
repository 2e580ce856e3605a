"""Drawn pictures of coiled snakes for the demo: no photograph of a real animal."""

from __future__ import annotations

import io
import math
import random

_COATS = {
    "Piebald": ((236, 230, 214), (112, 78, 38)),
    "Albino": ((250, 240, 200), (246, 196, 70)),
    "Clown": ((196, 146, 66), (84, 56, 26)),
    "Axanthic": ((138, 138, 134), (62, 62, 64)),
    "Ghost": ((176, 142, 100), (110, 88, 64)),
    "Pastel": ((214, 170, 70), (96, 68, 34)),
    "Enchi": ((206, 152, 64), (118, 76, 36)),
    "Leopard": ((150, 104, 44), (66, 44, 24)),
    "Fire": ((186, 134, 62), (92, 62, 34)),
}
_PLAIN = ((140, 104, 44), (222, 184, 92))
_GROUNDS = ((239, 231, 218), (222, 226, 220), (231, 222, 205), (214, 219, 226))


def draw_coil(looks: str, chance: random.Random, *, width: int = 1040, height: int = 920) -> bytes:
    """A picture of a coiled snake seen from above, as JPEG, in colours near its looks."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (width, height), chance.choice(_GROUNDS))
    pen = ImageDraw.Draw(image)
    body, spots = next((colours for word, colours in _COATS.items() if word in looks.split("het")[0]), _PLAIN)
    points = _spiral(width, height, chance.uniform(-0.4, 0.4), chance.choice((2.6, 2.9, 3.2)))
    _stroke(pen, points, 1.12, tuple(int(c * 0.72) for c in body))
    _stroke(pen, points, 1.0, body)
    step = chance.choice((13, 16, 19))
    for index in range(20, len(points) - 30, step):
        x, y, thick = points[index]
        reach = thick * chance.uniform(0.30, 0.52)
        pen.ellipse((x - reach, y - reach * 0.8, x + reach, y + reach * 0.8), fill=spots)
    _head(pen, points, body)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=84)
    return out.getvalue()


def _spiral(width: int, height: int, lean: float, turns: float) -> list[tuple[float, float, float]]:
    """Points of the body from tail (inside) to head, with its thickness there."""
    points = []
    count = 420
    for index in range(count):
        part = index / (count - 1)
        angle = part * turns * 2 * math.pi + lean
        radius = (0.07 + 0.33 * part) * min(width, height)
        thick = min(width, height) * 0.054 * math.sin(math.pi * min(0.93, 0.14 + part * 0.76)) ** 0.7
        points.append((width / 2 + radius * 1.12 * math.cos(angle), height / 2 + radius * math.sin(angle), thick))
    return points


def _stroke(pen: object, points: list[tuple[float, float, float]], grow: float, colour: tuple[int, ...]) -> None:
    for x, y, thick in points:
        reach = thick * grow
        pen.ellipse((x - reach, y - reach, x + reach, y + reach), fill=colour)  # type: ignore[attr-defined]


def _head(pen: object, points: list[tuple[float, float, float]], colour: tuple[int, ...]) -> None:
    (x, y, _), (bx, by, _) = points[-1], points[-14]
    length = math.hypot(x - bx, y - by) or 1.0
    dx, dy = (x - bx) / length, (y - by) / length
    for step in range(0, 44, 2):
        reach = 40 - abs(step - 14) * 0.7
        cx, cy = x + dx * step, y + dy * step
        pen.ellipse((cx - reach, cy - reach, cx + reach, cy + reach), fill=colour)  # type: ignore[attr-defined]
    for side in (-1, 1):
        ex, ey = x + dx * 34 - dy * 16 * side, y + dy * 34 + dx * 16 * side
        pen.ellipse((ex - 5, ey - 5, ex + 5, ey + 5), fill=(24, 18, 14))  # type: ignore[attr-defined]
