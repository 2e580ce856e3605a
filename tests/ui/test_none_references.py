"""The Qt binding must not lose references to None: 6.12 on Python 3.11 did, and aborted after thousands of calls."""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget


def test_none_keeps_its_references(qapp: QApplication) -> None:
    label, holder = QLabel(), QWidget()
    column = QVBoxLayout(holder)
    before = sys.getrefcount(None)
    for number in range(5000):
        label.setText(str(number))
        column.addWidget(label)
        label.setToolTip("")
    lost = before - sys.getrefcount(None)
    # from Python 3.12 None is immortal and its count stands still
    assert lost < 500
    holder.deleteLater()
