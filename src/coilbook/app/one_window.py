"""One window a collection: a second start hands what it was given to the first and ends."""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtNetwork import QLocalServer, QLocalSocket

LOG = logging.getLogger(__name__)
#: how long a second start waits for the first to answer
PATIENCE_MS = 1500


def name_of(folder: Path) -> str:
    """The name two starts on the same folder agree on; short, for systems that keep sockets as files."""
    return "coilbook-" + hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:20]


def hand_over(folder: Path, words: list[str]) -> bool:
    """Give `words` (files, codes) to the window that has this collection open; False when there is none."""
    socket = QLocalSocket()
    socket.connectToServer(name_of(folder))
    if not socket.waitForConnected(PATIENCE_MS):
        return False
    socket.write(json.dumps(words).encode() + b"\n")
    sent = socket.waitForBytesWritten(PATIENCE_MS)
    answered = socket.waitForReadyRead(PATIENCE_MS) or socket.bytesAvailable() > 0
    socket.disconnectFromServer()
    return bool(sent and answered)


class Doorbell(QObject):
    """Listens for second starts; `heard` gets their words on the UI thread."""

    def __init__(self, folder: Path, heard: Callable[[list[str]], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._heard = heard
        self._server = QLocalServer(self)
        self._server.setSocketOptions(QLocalServer.SocketOption.UserAccessOption)
        self._server.newConnection.connect(self._visitor)
        if not self._server.listen(name_of(folder)):
            # a window that was killed leaves its socket behind
            QLocalServer.removeServer(name_of(folder))
            self._server.listen(name_of(folder))

    def close(self) -> None:
        """Stop listening."""
        self._server.close()

    def _visitor(self) -> None:
        if not self._server.hasPendingConnections():
            return
        socket = self._server.nextPendingConnection()
        socket.readyRead.connect(self._read)
        socket.disconnected.connect(socket.deleteLater)
        if socket.canReadLine():
            self._take(socket)

    def _read(self) -> None:
        socket = self.sender()
        if isinstance(socket, QLocalSocket) and socket.canReadLine():
            self._take(socket)

    def _take(self, socket: QLocalSocket) -> None:
        line = bytes(socket.readLine().data())
        try:
            words = json.loads(line)
        except ValueError:
            LOG.warning("what another start handed over could not be read: %r", line[:200])
            return
        socket.write(b"ok\n")
        socket.flush()
        if isinstance(words, list):
            self._heard([str(word) for word in words])
