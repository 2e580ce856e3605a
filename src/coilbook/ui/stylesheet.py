"""The one stylesheet, made from a theme's tokens; parts with a shape of their own paint themselves."""

from __future__ import annotations

from collections.abc import Callable
from string import Template
from typing import TYPE_CHECKING

from coilbook.wording.resources import resource_path

if TYPE_CHECKING:
    from coilbook.ui.theme import Tokens

_SHEET = Template(
    """
* { font-family: "Coilbook Sans"; font-size: ${body}px; color: $ink; outline: none; }
QMainWindow, QWidget#page, QWidget#column { background: $ground; }
QWidget#line, QWidget#foot, QWidget#margin, QScrollArea#margin_scroll, QWidget#margin_body { background: $surface; }
QWidget#line { border-bottom: 1px solid $rule; }
QWidget#column { border-right: 1px solid $rule; }
QWidget#margin { border-left: 1px solid $rule; }
QWidget#foot { border-top: 1px solid $rule; }
QLabel { background: transparent; border: none; }
QLabel[role="title"], QLabel[role="verdict"] { font-size: ${title}px; font-weight: 600; }
QLabel[role="id"] { font-size: ${id}px; font-weight: 600; }
QLabel[role="strong"] { font-weight: 600; }
QLabel[role="second"] { color: $second; }
QLabel[role="small"] { font-size: ${small}px; color: $second; }
QLabel[role="head"] { font-size: ${small}px; font-weight: 600; color: $second; }
QLabel[role="clay"] { color: $clay; font-weight: 600; }
QLabel[role="moss"] { color: $moss; font-weight: 600; }
QLabel[role="link"] { color: $accent; font-weight: 600; }

QLineEdit, QPlainTextEdit, QTextEdit, QComboBox, QSpinBox, QDateEdit {
  background: $surface; border: 1px solid $edge; border-radius: 4px; padding: 0 ${pad}px; min-height: ${field}px;
  selection-background-color: $accent; selection-color: $on_accent; }
QPlainTextEdit, QTextEdit { padding: ${pad_small}px ${gap}px; }
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QComboBox:focus, QSpinBox:focus, QDateEdit:focus {
  border: 2px solid $accent; padding: 0 ${pad_focus}px; }
QPlainTextEdit:focus, QTextEdit:focus { padding: ${small_focus}px ${gap_focus}px; }
QLineEdit, QPlainTextEdit { placeholder-text-color: $second; }
QWidget#line QLineEdit { background: $ground; border-color: $rule; min-height: 0; }
QWidget#line QLineEdit:focus { background: $surface; border-color: $accent; }
QLineEdit[bad="true"] { border: 2px solid $clay; padding: 0 ${pad_focus}px; }
QPlainTextEdit[bad="true"] { border: 2px solid $clay; padding: ${small_focus}px ${gap_focus}px; }
QLineEdit:disabled, QComboBox:disabled, QSpinBox:disabled { color: $second; border-color: $rule; }
QComboBox::drop-down { border: none; width: ${drop}px; }
QComboBox::down-arrow { image: url($chevron); width: ${arrow}px; height: ${arrow}px; }
QComboBox QAbstractItemView { background: $surface; border: 1px solid $edge; padding: 4px 0;
  selection-background-color: $tint; selection-color: $ink; }
QComboBox QAbstractItemView::item { min-height: ${row}px; padding: 0 ${pad}px; }
QSpinBox::up-button, QSpinBox::down-button, QDateEdit::up-button, QDateEdit::down-button {
  border: none; background: transparent; width: ${arrow}px; }
QSpinBox::up-arrow { image: url($chevron_up); width: ${tiny}px; height: ${tiny}px; }
QSpinBox::down-arrow { image: url($chevron); width: ${tiny}px; height: ${tiny}px; }
QCheckBox, QRadioButton { spacing: ${gap}px; background: transparent; min-height: ${row}px; }
QCheckBox::indicator { width: ${arrow}px; height: ${arrow}px; border: 1px solid $edge; border-radius: 3px;
  background: $surface; }
QCheckBox::indicator:checked { image: url($check); }
QCheckBox::indicator:focus, QRadioButton::indicator:focus { border: 2px solid $accent; }
QRadioButton::indicator { width: ${arrow}px; height: ${arrow}px; border: 1px solid $edge; border-radius: ${round}px;
  background: $surface; }
QRadioButton::indicator:checked { background: $accent; }
QCheckBox:focus, QRadioButton:focus { color: $accent; }

QScrollArea { border: none; background: transparent; }
QAbstractScrollArea::corner { background: transparent; border: none; }
QScrollArea > QWidget > QWidget { background: transparent; }
QScrollBar:vertical { background: transparent; width: 10px; margin: 0; }
QScrollBar:horizontal { background: transparent; height: 10px; margin: 0; }
QScrollBar::handle { background: $rule; border-radius: 3px; margin: 2px; min-height: 32px; min-width: 32px; }
QScrollBar::handle:hover { background: $second; }
QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page {
  background: transparent; border: none; width: 0; height: 0; }

QAbstractItemView { background: $ground; border: none; selection-background-color: $tint; selection-color: $ink; }
QHeaderView { background: $ground; border: none; }
QHeaderView::section { background: $ground; color: $second; font-size: ${small}px; border: none;
  border-bottom: 1px solid $rule; padding: 0 ${gap}px; min-height: ${row}px; }
QTableCornerButton::section { background: $ground; border: none; }

QMenu { background: $surface; border: 1px solid $edge; padding: 4px 0; }
QMenu::item { padding: ${pad_small}px ${menu}px ${pad_small}px ${pad}px; }
QMenu::item:selected { background: $tint; }
QMenu::item:disabled { color: $second; }
QMenu::separator { height: 1px; background: $rule; margin: 4px 0; }
QToolTip { background: $surface; color: $ink; border: 1px solid $edge; padding: 4px; }
QProgressBar { background: $surface; border: 1px solid $edge; border-radius: 3px; max-height: ${tiny}px;
  min-height: ${tiny}px; }
QProgressBar::chunk { background: $accent; }
QSplitter::handle { background: $rule; }
"""
)


def stylesheet(theme: str, tokens: Tokens, px: Callable[[float], int], *, room: bool = False) -> str:
    """The sheet for the theme of that name; `px` scales pixels; fields are taller in the room."""
    sizes = {
        "small": 11,
        "body": 13,
        "title": 20,
        "id": 28,
        "pad": 12,
        "pad_small": 6,
        "pad_focus": 11,
        "small_focus": 5,
        "gap_focus": 7,
    }
    sizes |= {
        "field": 44 if room else 28,
        "row": 28,
        "gap": 8,
        "drop": 28,
        "arrow": 16,
        "tiny": 10,
        "round": 8,
        "menu": 28,
    }
    images = {
        "chevron": resource_path("icons", f"chevron-down-{theme}.svg").as_posix(),
        "chevron_up": resource_path("icons", f"chevron-up-{theme}.svg").as_posix(),
        "check": resource_path("icons", f"check-{theme}.svg").as_posix(),
    }
    colours = {name: getattr(tokens, name) for name in tokens.__dataclass_fields__}
    return _SHEET.substitute(colours | images | {name: px(value) for name, value in sizes.items()})
