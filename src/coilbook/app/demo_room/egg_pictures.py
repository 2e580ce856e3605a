"""Drawn pictures of eggs in the light of a torch for the demo: no photograph of a real egg."""

from __future__ import annotations

import io
import math
import random

_ROOM, _SHELL, _VEIN, _MOULD = (38, 30, 26), (244, 196, 142), (176, 52, 40), (92, 104, 84)


def draw_egg(shown: str, chance: random.Random, *, width: int = 960, height: int = 720) -> bytes:
    """An egg lit from below, as JPEG; `shown` are words of what is seen: "veins", "faint", "mould", "dent"."""
    from PIL import Image, ImageDraw, ImageFilter

    image = Image.new("RGB", (width, height), _ROOM)
    pen = ImageDraw.Draw(image)
    wide, high = 0.37 * width, 0.34 * height
    for step in range(40):  # brighter towards the torch under it
        part = step / 39
        colour = tuple(round(dark + (light - dark) * (0.55 + 0.45 * part)) for dark, light in zip(_ROOM, _SHELL))
        x, y, less = width / 2, height / 2 + 0.1 * high * part, 1 - 0.9 * part
        pen.ellipse((x - wide * less, y - high * less, x + wide * less, y + high * less), fill=colour)
    if "veins" in shown or "faint" in shown:
        branches = 9 if "veins" in shown else 3
        for number in range(branches):
            _vein(pen, width, height, 2 * math.pi * number / branches + chance.uniform(-0.2, 0.2), chance)
    if "dent" in shown:
        pen.chord((width * 0.36, height * 0.06, width * 0.58, height * 0.3), 0, 180, fill=_ROOM)
    if "mould" in shown:
        for _ in range(60):
            x, y = width * 0.66 + chance.gauss(0, 26), height * 0.38 + chance.gauss(0, 20)
            reach = chance.uniform(2, 8)
            pen.ellipse((x - reach, y - reach, x + reach, y + reach), fill=_MOULD)
    out = io.BytesIO()
    image.filter(ImageFilter.GaussianBlur(1.6)).save(out, "JPEG", quality=84)
    return out.getvalue()


def _vein(pen: object, width: int, height: int, angle: float, chance: random.Random) -> None:
    """One that winds from the middle outwards and grows thinner."""
    x, y = width / 2, height / 2
    for step in range(26):
        angle += chance.gauss(0, 0.16)
        to = x + 0.012 * width * math.cos(angle), y + 0.0145 * height * math.sin(angle)
        pen.line((x, y, *to), fill=_VEIN, width=max(1, 7 - step // 4))  # type: ignore[attr-defined]
        x, y = to
