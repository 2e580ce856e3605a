"""The keyboard scanner: found anywhere, exactly once; a person's typing whole, in order and in time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.unit.scanning.scrambled import typed_as

from coilbook.labels.code import BODY_COUNT, LabelCode, nth_body
from coilbook.records.vocabulary import CodeKind
from coilbook.scanning.layouts import AGREEING, PAIRINGS, Pairing, code_readings
from coilbook.scanning.wedge import GAP_S, ScanText, Verdict, Wedge

PREFIX = "HTTPS://WREN.EXAMPLE/"
CARD = LabelCode(CodeKind.ANIMAL, "FKT38")


def issued(kind: CodeKind, n: int) -> LabelCode:
    for number in range(n, BODY_COUNT):
        body = nth_body(kind, number)
        if body is not None:
            return LabelCode(kind, body)
    return issued(kind, 0)


codes = st.builds(issued, st.sampled_from(list(CodeKind)), st.integers(min_value=0, max_value=BODY_COUNT - 1))


@dataclass
class Window:
    """Does what a window does with the verdicts: calls back at the deadline, replays, keeps a protocol."""

    wedge: Wedge
    typed: list[str] = field(default_factory=list)
    delays: list[float] = field(default_factory=list)
    scans: list[ScanText] = field(default_factory=list)

    def take(self, verdict: Verdict, now: float) -> None:
        for held in verdict.pass_on:
            assert held.key == (held.char, held.time), "the caller's own key comes back with its character"
            self.typed.append(held.char)
            self.delays.append(now - held.time)
        self.scans.extend(verdict.scans)

    def press(self, char: str, t: float) -> None:
        while (deadline := self.wedge.deadline) is not None and deadline <= t:
            self.take(self.wedge.expire(deadline), deadline)
        verdict = self.wedge.feed(char, t, (char, t))
        self.take(verdict, t)
        if not verdict.hold:
            self.typed.append(char)

    def rest(self) -> None:
        while (deadline := self.wedge.deadline) is not None:
            self.take(self.wedge.expire(deadline), deadline)

    @property
    def text(self) -> str:
        return "".join(self.typed)


@dataclass(frozen=True)
class Stroke:
    char: str
    gap: float


def scan_strokes(payload: str, gap: float, before: float, suffix: str) -> list[Stroke]:
    return [Stroke(c, gap if n else before) for n, c in enumerate(payload + suffix)]


def play(window: Window, strokes: Sequence[Stroke]) -> None:
    t = 0.0
    for stroke in strokes:
        t += stroke.gap
        window.press(stroke.char, t)
    window.rest()


letters = st.characters(codec="utf-8", exclude_categories=("Cs", "Cc"))


@st.composite
def typing(draw: st.DrawFn, least: int = 0) -> list[Stroke]:
    """A fast person: two keys may come almost at once, never three within 50 ms."""
    strokes: list[Stroke] = []
    fast = False
    for char in draw(st.lists(st.one_of(letters, st.sampled_from("\r\tAFKT38\n")), min_size=least, max_size=12)):
        roll = draw(st.booleans()) and not fast and bool(strokes)
        strokes.append(Stroke(char, draw(st.floats(0.002, 0.03) if roll else st.floats(0.0501, 0.4))))
        fast = roll
    return strokes


@st.composite
def evenings(draw: st.DrawFn) -> tuple[list[Stroke], str, list[LabelCode]]:
    """Typing and scans in turn: the strokes, what was typed, what was scanned."""
    strokes: list[Stroke] = []
    typed = ""
    scanned: list[LabelCode] = []
    for _ in range(draw(st.integers(1, 4))):
        words = draw(typing())
        strokes += words
        typed += "".join(stroke.char for stroke in words)
        code = draw(codes)
        prefix = draw(st.sampled_from(["", PREFIX]))
        suffix = draw(st.sampled_from(["", "\r", "\t", "\r\n"]))
        gap = draw(st.floats(0.0005, 0.016))
        strokes += scan_strokes(prefix + code.text, gap, draw(st.floats(0.12, 0.5)), suffix)
        strokes.append(Stroke("x", 0.12))
        typed += "x"
        scanned.append(code)
    return strokes, typed, scanned


@given(evenings())
def test_typing_and_scans_in_turn(evening: tuple[list[Stroke], str, list[LabelCode]]) -> None:
    strokes, typed, scanned = evening
    window = Window(Wedge([PREFIX], settled=AGREEING))
    play(window, strokes)
    assert window.text == typed
    assert [scan.readings[0].code for scan in window.scans] == scanned
    assert not any(scan.ambiguous for scan in window.scans)
    assert max(window.delays, default=0) <= 0.060


@given(typing(least=1))
def test_typing_alone_is_whole_in_order_and_in_time(strokes: list[Stroke]) -> None:
    window = Window(Wedge([PREFIX]))
    play(window, strokes)
    assert window.text == "".join(stroke.char for stroke in strokes)
    assert window.scans == []
    assert max(window.delays, default=0) <= 0.060


@given(st.lists(st.builds(Stroke, letters, st.floats(0.0, 0.2)), max_size=40))
def test_whatever_the_pace_nothing_is_lost_or_reordered(strokes: list[Stroke]) -> None:
    """Keys at any pace, tools that put in whole sentences included: typed, or part of exactly one scan."""
    window = Window(Wedge([PREFIX]))
    play(window, strokes)
    everything = "".join(stroke.char for stroke in strokes)
    rest = everything
    for scan in window.scans:
        assert scan.raw in rest
        rest = rest.replace(scan.raw, "", 1)
    assert sorted(rest) == sorted(window.text)
    remaining = iter(everything)
    assert all(char in remaining for char in window.text), "what was typed keeps its order"


@given(codes, st.floats(0.0005, 0.024), st.sampled_from(["", "\r"]), st.sampled_from(["", PREFIX]))
def test_slow_and_fast_scanners_never_type(code: LabelCode, gap: float, suffix: str, prefix: str) -> None:
    window = Window(Wedge([PREFIX], settled=AGREEING))
    play(window, scan_strokes(prefix + code.text, gap, 0.0, suffix))
    assert window.text == ""
    assert [scan.text for scan in window.scans] == [prefix + code.text]


@given(codes, st.text("abcxyz", min_size=1, max_size=2), st.booleans())
def test_keys_struck_right_at_a_scan_are_given_back(code: LabelCode, strays: str, before: bool) -> None:
    window = Window(Wedge(settled=AGREEING))
    text = strays + code.text if before else code.text + strays
    play(window, scan_strokes(text, 0.008, 0.0, ""))
    assert window.text == strays
    assert [scan.text for scan in window.scans] == [code.text]


def test_a_stray_that_would_make_another_code_is_not_taken_into_it() -> None:
    """S-E6PVM and a y struck with it: E6PVM with its check and Y checks as well, as an egg box's code."""
    code = LabelCode(CodeKind.SLOT, "E6PVM")
    shifted = code.text[1:] + "Y"
    assert code_readings(shifted, AGREEING), "the pair was chosen for this"
    window = Window(Wedge(settled=AGREEING))
    play(window, scan_strokes(code.text + "y", 0.008, 0.0, ""))
    assert [scan.text for scan in window.scans] == [code.text]
    assert window.text == "y"
    window = Window(Wedge(settled=AGREEING))
    play(window, scan_strokes(code.text + "Y", 0.008, 0.0, ""))
    assert window.scans[0].ambiguous, "with a capital nobody can tell: ask"


@given(codes, codes)
def test_two_scans_at_once_stay_two(one: LabelCode, two: LabelCode) -> None:
    window = Window(Wedge(settled=AGREEING))
    play(window, scan_strokes(one.text + "\r" + two.text, 0.006, 0.0, "\r"))
    assert [scan.readings[0].code for scan in window.scans] == [one, two]
    assert window.text == ""


def test_without_a_call_at_the_deadline_the_next_key_settles_it() -> None:
    """The window was busy: both scans and both keys of the person come out of late feeds."""
    wedge = Wedge()
    t, scans, typed = 0.0, [], ""
    for char in CARD.text:
        t += 0.01
        wedge.feed(char, t)
    for char in "hm":
        t += 1.0
        verdict = wedge.feed(char, t)
        scans += verdict.scans
        typed += "".join(held.char for held in verdict.pass_on)
    typed += "".join(held.char for held in wedge.flush(t).pass_on)
    assert [scan.text for scan in scans] == [CARD.text]
    assert typed == "hm"


def test_a_shortcut_in_between_does_not_overtake_what_was_typed() -> None:
    wedge = Wedge()
    assert wedge.feed("a", 0.0).hold
    flushed = wedge.flush(0.01)
    assert [held.char for held in flushed.pass_on] == ["a"]
    assert wedge.deadline is None


def test_a_lone_enter_is_a_persons() -> None:
    verdict = Wedge().feed("\r", 5.0)
    assert not verdict.hold
    assert verdict.scan is None


def test_a_damaged_and_a_foreign_symbol_are_scans_without_reading() -> None:
    for payload in ("AFKT38G", "4006381333931"):
        window = Window(Wedge())
        play(window, scan_strokes(payload, 0.008, 0.0, "\r"))
        assert window.text == ""
        assert [(scan.text, scan.readings) for scan in window.scans] == [(payload, ())]


def test_a_sentence_put_in_by_a_tool_is_typed() -> None:
    window = Window(Wedge())
    play(window, scan_strokes("fed late, tub wet", 0.001, 0.0, "\r"))
    assert window.text == "fed late, tub wet\r"
    assert window.scans == []


@given(codes, st.sampled_from(PAIRINGS), st.sampled_from(["", PREFIX]))
def test_a_scrambled_layout_is_undone_or_asked(code: LabelCode, pairing: Pairing, prefix: str) -> None:
    window = Window(Wedge([PREFIX]))
    play(window, scan_strokes(typed_as(prefix + code.text, pairing), 0.008, 0.0, "\r"))
    assert window.text == ""
    (scan,) = window.scans
    found = {reading.code for reading in scan.readings}
    assert code in found
    assert scan.ambiguous == (len(found) > 1)
    settled = code_readings(typed_as(code.text, pairing), pairing)
    assert [reading.code for reading in settled] == [code]


def test_two_layouts_that_both_give_a_code_are_both_reported() -> None:
    """Searched, not guessed: an issued code whose Y and Z, swapped, check again."""
    twins = (
        code
        for n in range(40_000)
        if (body := nth_body(CodeKind.SLOT, n))
        and ("Y" in body or "Z" in body)
        and len(code_readings((code := LabelCode(CodeKind.SLOT, body)).text)) > 1
    )
    code = next(twins)
    window = Window(Wedge())
    play(window, scan_strokes(code.text, 0.008, 0.0, "\r"))
    (scan,) = window.scans
    assert scan.ambiguous
    assert code in {reading.code for reading in scan.readings}
    assert scan.text == code.text


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_layouts_are_their_own_opposite(pairing: Pairing) -> None:
    for sign in CARD.text + PREFIX:
        back = Pairing(scanner=pairing.computer, computer=pairing.scanner)
        assert typed_as(typed_as(sign, pairing), back) == sign


def test_a_letter_held_down_keeps_coming() -> None:
    """An automatic repeat at 30 ms, fed although it should be flushed: still nothing is lost."""
    window = Window(Wedge())
    play(window, [Stroke("a", GAP_S * 0.97)] * 30)
    assert window.text == "a" * 30
