"""Errors of the program and troubles of the disk nobody caught: into the log, and one calm sentence to the keeper."""

from __future__ import annotations

import logging
import logging.handlers
import sys
import threading
from collections.abc import Callable
from types import TracebackType

from coilbook.app.paths import log_file
from coilbook.records.message import CoilbookError, Message, StorageTrouble, say

LOG = logging.getLogger("coilbook")
#: bytes of one log file, and how many old ones are kept
LOG_BYTES, LOG_FILES = 1_000_000, 4

_listeners: list[Callable[[Message], None]] = []


def install_hooks() -> None:
    """Before anything else: an error in a slot or a thread must reach the log, not vanish."""
    sys.excepthook = _hook
    threading.excepthook = _thread_hook


def start_log() -> None:
    """Write the log to its file; without a place to write, warnings go to the terminal."""
    LOG.setLevel(logging.INFO)
    for old in list(LOG.handlers):
        LOG.removeHandler(old)
        old.close()
    try:
        log_file().parent.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = logging.handlers.RotatingFileHandler(
            log_file(), maxBytes=LOG_BYTES, backupCount=LOG_FILES, encoding="utf-8", delay=True
        )
    except OSError:
        handler = logging.StreamHandler()
        handler.setLevel(logging.WARNING)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    LOG.addHandler(handler)


def tell_bugs(listener: Callable[[Message], None]) -> None:
    """Have every error of the program told here too (the foot of the window)."""
    _listeners.append(listener)


def stop_telling(listener: Callable[[Message], None]) -> None:
    """The listener is going away."""
    if listener in _listeners:
        _listeners.remove(listener)


def note_trouble(error: CoilbookError) -> Message:
    """Put what the disk or a file refused into the log; its own sentence is the one to show."""
    if not LOG.handlers:
        start_log()
    LOG.warning("%s", error, exc_info=error)
    return error.message


def note_bug(error: BaseException) -> Message:
    """Put an error into the log; the sentence to show."""
    if not LOG.handlers:
        start_log()
    LOG.error("unexpected error", exc_info=error)
    return say(
        "Something in the program went wrong ({kind}). What was saved is safe. The details are in {file}.",
        kind=type(error).__name__,
        file=str(log_file()),
    )


def _hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    if issubclass(kind, KeyboardInterrupt):
        sys.__excepthook__(kind, error, trace)
        return
    error = error.with_traceback(trace)
    sentence = note_trouble(error) if isinstance(error, StorageTrouble) else note_bug(error)
    if not _listeners:
        print(sentence, file=sys.stderr)
    for listener in list(_listeners):
        listener(sentence)


def _thread_hook(arguments: threading.ExceptHookArgs) -> None:
    if arguments.exc_value is not None:
        _hook(arguments.exc_type, arguments.exc_value, arguments.exc_traceback)
