"""Every pair of colours text is set in reaches 4.5:1 (WCAG 2.2, success criterion 1.4.3), in all three themes."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QFontDatabase, QFontInfo
from PySide6.QtWidgets import QApplication

from coilbook.records.settings import Settings
from coilbook.records.settings import Theme as ThemeName
from coilbook.ui.theme import BODY, FAMILY, TOKENS, Theme

TEXT_PAIRS = [
    (ink, ground)
    for ink in ("ink", "second", "accent", "clay", "moss")
    for ground in ("ground", "surface")
] + [("ink", "tint"), ("second", "tint"), ("accent", "tint"), ("on_accent", "accent")]  # fmt: skip
#: shapes and frames need 3:1 (success criterion 1.4.11)
SHAPE_PAIRS = [(shape, ground) for shape in ("edge", "taken", "refused") for ground in ("ground", "surface", "tint")]


def _channel(value: float) -> float:
    return value / 12.92 if value <= 0.03928 else ((value + 0.055) / 1.055) ** 2.4


def _luminance(colour: str) -> float:
    red, green, blue, _ = QColor(colour).getRgbF()
    return 0.2126 * _channel(red) + 0.7152 * _channel(green) + 0.0722 * _channel(blue)


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_knows_black_on_white() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("name", list(ThemeName))
@pytest.mark.parametrize(("ink", "ground"), TEXT_PAIRS)
def test_words_can_be_read(name: ThemeName, ink: str, ground: str) -> None:
    tokens = TOKENS[name]
    assert contrast(getattr(tokens, ink), getattr(tokens, ground)) >= 4.5


@pytest.mark.parametrize("name", list(ThemeName))
@pytest.mark.parametrize(("shape", "ground"), SHAPE_PAIRS)
def test_shapes_can_be_seen(name: ThemeName, shape: str, ground: str) -> None:
    tokens = TOKENS[name]
    assert contrast(getattr(tokens, shape), getattr(tokens, ground)) >= 3.0


def test_nothing_in_the_dim_room_is_brighter_than_its_accents() -> None:
    tokens = TOKENS[ThemeName.DIM]
    colours = [getattr(tokens, name) for name in tokens.__dataclass_fields__ if name != "dark"]
    assert max(_luminance(colour) for colour in colours) <= _luminance("#E3BC94")


def test_the_bundled_family_is_what_is_drawn(qapp: QApplication) -> None:
    theme = Theme(Settings())
    assert FAMILY in QFontDatabase.families()
    assert QFontInfo(theme.font(BODY)).family() == FAMILY
    assert QFontInfo(theme.font(BODY, bold=True)).weight() == 600
    theme.deleteLater()


def test_text_scale_scales_sizes(qapp: QApplication) -> None:
    theme = Theme(Settings(text_scale_percent=150))
    assert theme.px(28) == 42
    assert theme.font(BODY).pixelSize() == 20
    theme.deleteLater()
