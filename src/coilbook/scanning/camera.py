"""A camera behind a protocol, and counting one held-up code once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from coilbook.scanning.pictures import texts_in_rgb

#: a code that was out of sight so long, in s, counts again when it comes back
AWAY_S = 1.5


@dataclass(frozen=True, slots=True)
class Frame:
    """One picture of a camera: RGB of 8 bits a channel, lines of `stride` bytes, taken at `time` (s)."""

    data: bytes
    width: int
    height: int
    stride: int
    time: float


class FrameSource(Protocol):
    """A camera as the scanning room sees it; the window brings one where the optional extra is installed."""

    def start(self) -> None:
        """Begin to take pictures; `Refusal` when no camera can be opened."""

    def stop(self) -> None:
        """Let go of the camera."""

    def latest(self) -> Frame | None:
        """The newest picture not yet handed out, or None."""


class HeldUp:
    """Lets a code through when it comes into sight, and not again while it is held up or only flickers."""

    def __init__(self, away: float = AWAY_S) -> None:
        """`away`: seconds out of sight after which the same code counts as a new scan."""
        self._away = away
        self._seen: dict[str, float] = {}

    def new_texts(self, texts: tuple[str, ...], t: float) -> tuple[str, ...]:
        """Those of the texts seen at time `t` (s) that count as a scan."""
        fresh = tuple(text for text in dict.fromkeys(texts) if t - self._seen.get(text, float("-inf")) > self._away)
        self._seen = {text: at for text, at in self._seen.items() if t - at <= self._away}
        self._seen.update(dict.fromkeys(texts, t))
        return fresh


def scan_frame(frame: Frame, held_up: HeldUp) -> tuple[str, ...]:
    """Search one picture of a camera; the texts that count as scans. Frames come one at a time, oldest first."""
    texts = texts_in_rgb(frame.data, frame.width, frame.height, frame.stride)
    return held_up.new_texts(texts, frame.time)
