"""A cable to a printer, which passes everything on, or loses what it is told to."""

import contextlib
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

PRINT_JOB = b"\x01\x01\x00\x02"
"""How a Print-Job request of IPP/1.1 begins (RFC 8010 section 3.1.1)."""


@dataclass
class Proxy:
    """`lose`: so many answers to Print-Job are lost on their way back; `swallow`: so many requests never
    arrive; `hold`: answers are kept until it is False, and `held` says that one is."""

    target: int
    listening: socket.socket = field(default_factory=lambda: socket.create_server(("127.0.0.1", 0)))
    lose: int = 0
    swallow: int = 0
    hold: bool = False
    held: bool = False

    @property
    def address(self) -> str:
        return f"ipp://localhost:{self.listening.getsockname()[1]}/ipp/print"

    def serve(self) -> None:
        """Take connections until the listening one is closed."""
        with contextlib.suppress(OSError):
            while True:
                line, _ = self.listening.accept()
                threading.Thread(target=self._carry, args=(line,), daemon=True).start()

    def _carry(self, line: socket.socket) -> None:
        with line, contextlib.suppress(OSError):
            asked = _message(line)
            printing = PRINT_JOB in asked
            if printing and self.swallow:
                self.swallow -= 1
                return
            with socket.create_connection(("localhost", self.target)) as printer:
                printer.sendall(asked)
                answer = _message(printer)
            if printing and self.lose:
                self.lose -= 1
                return
            while printing and self.hold:
                self.held = True
                time.sleep(0.02)
            line.sendall(answer)


def _message(line: socket.socket) -> bytes:
    """One HTTP message with its body, by Content-Length or in chunks."""
    content = b""
    while b"\r\n\r\n" not in content:
        content += _more(line)
    head, _, body = content.partition(b"\r\n\r\n")
    if b"100 Continue" in head:
        return content + _message(line)
    fields = {
        name.strip().lower(): value.strip()
        for name, _, value in (row.partition(b":") for row in head.split(b"\r\n")[1:])
    }
    if fields.get(b"transfer-encoding") == b"chunked":
        while not body.endswith(b"0\r\n\r\n"):
            body += _more(line)
        return head + b"\r\n\r\n" + body
    while len(body) < int(fields.get(b"content-length", b"0")):
        body += _more(line)
    return head + b"\r\n\r\n" + body


def _more(line: socket.socket) -> bytes:
    found = line.recv(65536)
    if not found:
        raise ConnectionError("the other side hung up")
    return found


@contextlib.contextmanager
def a_proxy(target: int) -> Iterator[Proxy]:
    """A cable to the printer at this port."""
    proxy = Proxy(target)
    threading.Thread(target=proxy.serve, daemon=True).start()
    try:
        yield proxy
    finally:
        proxy.hold = False
        proxy.listening.close()
