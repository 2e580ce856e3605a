"""Colours, sizes and fonts: three themes, one text scale, and who is told when they change."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from coilbook.records.settings import Settings
from coilbook.records.settings import Theme as ThemeName
from coilbook.ui.stylesheet import stylesheet
from coilbook.wording.resources import resource_path

FAMILY = "Coilbook Sans"

#: text sizes in pixels at 100 percent: notes and heads of columns, everything, titles; then an id in large type
SMALL, BODY, TITLE, ID = 11, 13, 20, 28
#: heights and widths of the four places in pixels at 100 percent
LINE_HEIGHT, FOOT_HEIGHT, COLUMN_WIDTH, COLUMN_ROW = 48, 36, 116, 32
MARGIN_WIDTH, MARGIN_STRIP, PAGE_PADDING = 344, 40, 24
ROW_HEIGHT, BUTTON_HEIGHT, TARGET = 28, 32, 48


@dataclass(frozen=True, slots=True)
class Tokens:
    """The colours of one theme by what they are for; every text pair of them is at least 4.5:1."""

    ground: str
    surface: str
    rule: str
    #: outline of fields and buttons
    edge: str
    ink: str
    second: str
    accent: str
    #: words on a filled accent button
    on_accent: str
    #: behind the row in focus
    tint: str
    #: "needs you"
    clay: str
    #: "done"
    moss: str
    #: a taken meal in charts; with the others from the set of Okabe and Ito (2008), safe for colour-blind readers
    taken: str
    refused: str
    dark: bool


TOKENS: dict[ThemeName, Tokens] = {
    ThemeName.LIGHT: Tokens(
        ground="#FAF8F3",
        surface="#FFFFFF",
        rule="#E2DCD0",
        edge="#5B6470",
        ink="#1F2328",
        second="#5B6470",
        accent="#2B4C7E",
        on_accent="#FFFFFF",
        tint="#E8ECF5",
        clay="#B4532A",
        moss="#4A7345",
        taken="#00795A",
        refused="#B4532A",
        dark=False,
    ),
    ThemeName.DARK: Tokens(
        ground="#16191D",
        surface="#1E2328",
        rule="#333A42",
        edge="#A3ABB5",
        ink="#E8E4DA",
        second="#A3ABB5",
        accent="#8FB3E8",
        on_accent="#16191D",
        tint="#28303B",
        clay="#E08A5F",
        moss="#8BBF83",
        taken="#3FBF97",
        refused="#E08A5F",
        dark=True,
    ),
    ThemeName.DIM: Tokens(
        ground="#120D0A",
        surface="#1B1410",
        rule="#3A2B20",
        edge="#A98A6B",
        ink="#E3BC94",
        second="#A98A6B",
        accent="#E0955A",
        on_accent="#120D0A",
        tint="#2A1B10",
        clay="#FF8A5C",
        moss="#B9A35E",
        taken="#B9A35E",
        refused="#FF8A5C",
        dark=True,
    ),
}


def register_fonts() -> None:
    """Make the bundled family known to Qt, once an application; no font of the system is relied on."""
    if FAMILY in QFontDatabase.families():
        return
    for name in ("CoilbookSans-Regular.ttf", "CoilbookSans-SemiBold.ttf"):
        QFontDatabase.addApplicationFont(str(resource_path("fonts", name)))


class Theme(QObject):
    """The theme in use. Painted parts ask it for colours, fonts and scaled pixels, and repaint on `changed`."""

    changed = Signal()

    def __init__(self, settings: Settings | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        register_fonts()
        chosen = settings if settings is not None else Settings()
        self.name = chosen.theme
        self._percent = chosen.text_scale_percent
        self._room = self._styled = False
        self._fonts: dict[tuple[int, bool], QFont] = {}
        self._colours: dict[tuple[ThemeName, str], QColor] = {}

    @property
    def tokens(self) -> Tokens:
        return TOKENS[self.name]

    @property
    def scale(self) -> float:
        """Factor on every size, 1.0 at 100 percent."""
        return self._percent / 100

    @property
    def room(self) -> bool:
        """True while the window stands at room size: larger targets, margin folded."""
        return self._room

    def px(self, pixels: float) -> int:
        """Pixels at 100 percent, scaled and rounded."""
        return round(pixels * self.scale)

    def colour(self, token: str) -> QColor:
        """A colour by the name of its token ("ink", "clay", ...)."""
        key = (self.name, token)
        if key not in self._colours:
            self._colours[key] = QColor(getattr(self.tokens, token))
        return self._colours[key]

    def font(self, size: int = BODY, *, bold: bool = False) -> QFont:
        """The family at `size` pixels (before scaling), weight 400 or 600."""
        key = (size, bold)
        if key not in self._fonts:
            font = QFont(FAMILY)
            font.setPixelSize(max(self.px(size), 1))
            font.setWeight(QFont.Weight.DemiBold if bold else QFont.Weight.Normal)
            self._fonts[key] = font
        return self._fonts[key]

    def follow(self, settings: Settings) -> None:
        """Take theme and text scale from the settings."""
        if (settings.theme, settings.text_scale_percent) != (self.name, self._percent):
            self.name, self._percent = settings.theme, settings.text_scale_percent
            self.apply()

    def set_room(self, room: bool) -> None:
        """Enter or leave room size."""
        if room != self._room:
            self._room = room
            self.changed.emit()

    def apply(self) -> None:
        """Put palette, font and stylesheet on the application and tell everyone."""
        self._fonts.clear()
        app = QApplication.instance()
        if isinstance(app, QApplication):
            if not self._styled:
                app.setStyle("Fusion")
                self._styled = True
            app.setPalette(palette(self.tokens))
            app.setFont(self.font())
            app.setStyleSheet(stylesheet(self.name.value, self.tokens, self.px, room=self.name is ThemeName.DIM))
        self.changed.emit()


def palette(tokens: Tokens) -> QPalette:
    """The Qt palette of a theme; offscreen and bare window systems have no colour scheme of their own."""
    roles = {
        QPalette.ColorRole.Window: tokens.ground,
        QPalette.ColorRole.WindowText: tokens.ink,
        QPalette.ColorRole.Base: tokens.surface,
        QPalette.ColorRole.AlternateBase: tokens.ground,
        QPalette.ColorRole.Text: tokens.ink,
        QPalette.ColorRole.PlaceholderText: tokens.second,
        QPalette.ColorRole.Button: tokens.surface,
        QPalette.ColorRole.ButtonText: tokens.ink,
        QPalette.ColorRole.BrightText: tokens.clay,
        QPalette.ColorRole.Highlight: tokens.accent,
        QPalette.ColorRole.HighlightedText: tokens.on_accent,
        QPalette.ColorRole.Link: tokens.accent,
        QPalette.ColorRole.LinkVisited: tokens.accent,
        QPalette.ColorRole.ToolTipBase: tokens.surface,
        QPalette.ColorRole.ToolTipText: tokens.ink,
        QPalette.ColorRole.Mid: tokens.rule,
        QPalette.ColorRole.Dark: tokens.edge,
        QPalette.ColorRole.Accent: tokens.accent,
    }
    result = QPalette()
    for role, colour in roles.items():
        result.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText):
        result.setColor(QPalette.ColorGroup.Disabled, role, QColor(tokens.second))
    return result
