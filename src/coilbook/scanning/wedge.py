"""Telling a keyboard scanner from a person, key by key, wherever in the window the keys arrive.

A scanner types a whole code within a tenth of a second and ends it with Enter or Tab or nothing; a person does
not. Every key is held until that is clear, and never longer than a person notices:

* a key that no other key follows within `GAP_S` is a person's and is passed on;
* keys that follow each other faster are passed on at the latest `HOLD_S` after the first of them, unless by then
  they come at a scanner's pace (`PACE_KEYS` keys in that time, one less if all could be of a printed symbol);
* a burst at a scanner's pace is a scan when its form is that of a code or of another printed symbol;
  otherwise it was typed (or put in by a tool) and every key of it is passed on.

Nothing here reads a clock: the caller gives each key its time, best the time the system stamped on it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from coilbook.scanning.layouts import Pairing, Reading, code_readings, looks_scanned

#: longest time between two keys of one scan, in s; scanners need 2 to 20 ms (`common practice`), people about 100
GAP_S = 0.030
#: a key is passed on at the latest so long after it came unless a scan is under way, in s; 60 ms is promised
HOLD_S = 0.050
#: so many keys within `HOLD_S` are a scanner's pace
PACE_KEYS = 4
#: a scanner's second line end (carriage return and line feed, or a late one) is still part of the scan, in s
SUFFIX_GRACE_S = 0.080
#: keys a person may have struck right before or after a scan and that are given back
MOST_STRAYS = 2
#: shortest text that is taken for a damaged or foreign symbol
LEAST_SYMBOL = 6
SUFFIXES = frozenset("\r\n\t")


@dataclass(frozen=True, slots=True)
class Held:
    """One held key: its character, its time in s and whatever the caller wants back with it (the key event)."""

    char: str
    time: float
    key: object = None


@dataclass(frozen=True, slots=True)
class ScanText:
    """One scan: the raw text that arrived and every valid code it can be read as.

    No reading: a damaged or foreign symbol. One: the code. More: two keyboard layouts both give a valid code,
    and the keeper has to be asked (`ambiguous`).
    """

    raw: str
    readings: tuple[Reading, ...]

    @property
    def text(self) -> str:
        """What the scanner meant: the one reading, else the text as it arrived."""
        return self.readings[0].text if len(self.readings) == 1 else self.raw

    @property
    def ambiguous(self) -> bool:
        """Whether the keeper has to be asked which of the readings it is."""
        return len(self.readings) > 1


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do now, in this order: replay `pass_on`, announce `scans`, then `hold` (swallow) or let the key by.

    A held key comes back in a later `pass_on` unless it was part of a scan. `deadline` is when `expire` has to
    be called if no key comes before, in the same clock as the keys; None when nothing is held.
    """

    pass_on: tuple[Held, ...] = ()
    scans: tuple[ScanText, ...] = ()
    hold: bool = False
    deadline: float | None = None

    @property
    def scan(self) -> ScanText | None:
        """The scan, when there is one (two can only end at once if the caller let the deadline pass)."""
        return self.scans[-1] if self.scans else None


@dataclass(slots=True)
class _Outcome:
    """Collects what leaves the wedge during one call."""

    pass_on: list[Held] = field(default_factory=list)
    scans: list[ScanText] = field(default_factory=list)


class Wedge:
    """The state machine. One per window; feed it every key press that carries one character.

    Keys with Ctrl, Alt or a function key, mouse presses and changes of focus do not go in: call `flush` first,
    so that what was typed before them arrives before them. Automatic repeats are a person's: `flush`, pass.
    """

    def __init__(self, prefixes: Iterable[str] = (), settled: Pairing | None = None) -> None:
        """`prefixes` are those printed so far; `settled` is the layout pairing an earlier scan made certain."""
        self.prefixes = tuple(sorted((p for p in prefixes if p), key=len, reverse=True))
        self.settled = settled
        self._held: list[Held] = []
        self._scanning = False
        self._grace_until = float("-inf")

    @property
    def deadline(self) -> float | None:
        """When `expire` must be called, or None."""
        if not self._held:
            return None
        quiet = self._held[-1].time + GAP_S
        return quiet if self._scanning else min(quiet, self._held[0].time + HOLD_S)

    def feed(self, char: str, t: float, key: object = None) -> Verdict:
        """Take one key press at time `t` (s)."""
        out = _Outcome()
        self._settle(t, out)
        if char in SUFFIXES:
            return self._suffix(char, t, out)
        self._grace_until = float("-inf")
        self._held.append(Held(char, t, key))
        if len(self._held) >= PACE_KEYS and self._held[PACE_KEYS - 1].time - self._held[0].time <= HOLD_S:
            self._scanning = True
        return self._verdict(out, hold=True)

    def expire(self, t: float) -> Verdict:
        """Time has come to `t` without a key: pass on what a person typed, finish a scan without line end."""
        out = _Outcome()
        self._settle(t, out)
        return self._verdict(out, hold=False)

    def flush(self, t: float) -> Verdict:
        """Something else than a character happens at `t`: decide on everything held, now."""
        out = _Outcome()
        self._finish(t, out, suffix=False)
        return self._verdict(out, hold=False)

    def _settle(self, t: float, out: _Outcome) -> None:
        """Decide on what is held if its time is over."""
        deadline = self.deadline
        while deadline is not None and t >= deadline:
            if self._scanning or t >= self._held[-1].time + GAP_S:
                self._finish(self._held[-1].time + GAP_S, out, suffix=False)
            elif len(self._held) == PACE_KEYS - 1 and looks_scanned(_text(self._held)):
                self._scanning = True
            else:
                # a person rolling over the keys: what is old goes on, what is young may still begin a scan
                out.pass_on.append(self._held.pop(0))
            deadline = self.deadline

    def _suffix(self, char: str, t: float, out: _Outcome) -> Verdict:
        if not self._held:
            if t <= self._grace_until:
                return self._verdict(out, hold=True)
            return self._verdict(out, hold=False)
        taken = self._finish(t, out, suffix=True)
        return self._verdict(out, hold=taken)

    def _finish(self, t: float, out: _Outcome, *, suffix: bool) -> bool:
        """End the burst at `t`: a scan, or keys to pass on. True when it was a scan."""
        held, scanning = self._held, self._scanning
        self._held, self._scanning = [], False
        parted = self._part(held, suffix=suffix) if scanning else None
        if parted is None:
            out.pass_on.extend(held)
            return False
        start, end, scan = parted
        out.pass_on.extend(held[:start])
        out.scans.append(scan)
        out.pass_on.extend(held[end:])
        if end == len(held):
            self._grace_until = t + SUFFIX_GRACE_S
        return True

    def _part(self, held: list[Held], *, suffix: bool) -> tuple[int, int, ScanText] | None:
        """Where in the burst the scan stands, between strays of a person, or None if there is none.

        The fewest strays win; where two cuts are as good and give different codes, both are readings.
        """
        text = _text(held)
        cuts: list[tuple[int, int, int, Reading]] = []
        for after in (0,) if suffix else range(MOST_STRAYS + 1):
            end = len(text) - after
            for reading in code_readings(text[:end], self.settled):
                before = self._strays_before(reading)
                if before is not None or not after:
                    cut = Reading(reading.pairing, reading.text[before or 0 :], reading.code)
                    cuts.append(((before or 0) + after, before or 0, end, cut))
        if cuts:
            fewest = min(cut[0] for cut in cuts)
            best = [cut for cut in cuts if cut[0] == fewest]
            _, start, end, _ = best[0]
            by_code = {cut[3].code: cut[3] for cut in reversed(best)}
            return start, end, ScanText(text[start:end], tuple(reversed(by_code.values())))
        if len(text) >= LEAST_SYMBOL and looks_scanned(text):
            return 0, len(text), ScanText(text, ())
        return None

    def _strays_before(self, reading: Reading) -> int | None:
        """How many leading keys are a person's; None when the text before the code is an unknown prefix."""
        lead = reading.text[: -len(reading.code.text)]
        for prefix in self.prefixes:
            if lead.upper().endswith(prefix) and len(lead) - len(prefix) <= MOST_STRAYS:
                return len(lead) - len(prefix)
        return len(lead) if len(lead) <= MOST_STRAYS else None

    def _verdict(self, out: _Outcome, *, hold: bool) -> Verdict:
        return Verdict(tuple(out.pass_on), tuple(out.scans), hold, self.deadline)


def _text(held: list[Held]) -> str:
    return "".join(key.char for key in held)
