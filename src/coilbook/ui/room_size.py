"""The sizes of the four places: at the desk, and in the snake room where one wet hand presses."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.records.settings import Theme as ThemeName
from coilbook.ui import theme as sizes
from coilbook.ui.screen import Screen


@dataclass(frozen=True, slots=True)
class Places:
    """Pixels at 100 percent."""

    line: int
    line_field: int
    column: int
    column_row: int
    foot: int
    padding: int


DESK = Places(sizes.LINE_HEIGHT, 34, sizes.COLUMN_WIDTH, sizes.COLUMN_ROW, sizes.FOOT_HEIGHT, sizes.PAGE_PADDING)
ROOM = Places(56, 40, 104, sizes.TARGET, sizes.TARGET, sizes.PAGE_PADDING)


def places(theme: sizes.Theme) -> Places:
    """The sizes that hold now."""
    return ROOM if theme.room else DESK


def line_height(theme: sizes.Theme) -> int:
    """Height of the line, px."""
    return _grown(theme, ROOM.line, DESK.line)


def line_field_height(theme: sizes.Theme) -> int:
    """Height of the field in the line, px."""
    return _grown(theme, ROOM.line_field, DESK.line_field)


def foot_height(theme: sizes.Theme) -> int:
    """Height of the foot, px."""
    return _grown(theme, ROOM.foot, DESK.foot)


def _grown(theme: sizes.Theme, room: int, desk: int) -> int:
    """Large for a thumb already, the room's frame grows no further than its words need: the page needs the height."""
    return max(room, theme.px(desk)) if theme.room else theme.px(desk)


def wants_room(screen: Screen | None, theme: sizes.Theme) -> bool:
    """Room size is for screens made for the room, and for everything in the dim theme."""
    return theme.name is ThemeName.DIM or (screen is not None and screen.room_size)
