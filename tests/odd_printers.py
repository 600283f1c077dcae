"""A printer that answers what a test tells it to: another one's word, nonsense, too much, too slowly.

What no printer on the shelf can be made to do on demand; those that behave are `printers_at_hand`'s.
"""

import contextlib
import http.server
import struct
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import ClassVar

from lotroot_printing import ipp_message as message

PRINT_JOB, GET_JOB, GET_JOBS, GET_PRINTER = 0x02, 0x09, 0x0A, 0x0B

Written = tuple[int, str, object]


def answer(tag: int = 0, *attributes: Written, status: int = 0) -> bytes:
    """An answer of one group besides that of the operation (RFC 8010 section 3.1)."""
    told = message.request(status, 1, [])[:-1]
    if tag:
        told += bytes([tag]) + message.request(0, 1, attributes)[len(message.request(0, 1, [])) - 1 : -1]
    return told + bytes([message.END])


READY = answer(
    message.PRINTER,
    (message.NAME, "printer-name", "Odd printer"),
    (message.MIME, "document-format-supported", "image/png"),
    (message.ENUM, "printer-state", 3),
    (message.INTEGER, "printer-up-time", 86_400),
)
"""Fit, on since yesterday, and takes a single label as PNG."""


def job(number: int, name: str, state: int) -> bytes:
    """What a printer says of one job."""
    told = ((message.INTEGER, "job-id", number), (message.NAME, "job-name", name))
    return answer(message.JOB, *told, (message.ENUM, "job-state", state))


Answering = Callable[[http.server.BaseHTTPRequestHandler], bytes | None]
"""Gives the body of an answer, or None where it has answered by itself."""


@dataclass
class OddPrinter:
    """`answers` by operation; `asked` are the operations it was asked for, in order; `pause` the seconds it
    takes for each MiB of a document."""

    port: int
    answers: dict[int, Answering] = field(default_factory=dict)
    asked: list[int] = field(default_factory=list)
    pause: float = 0.0

    @property
    def address(self) -> str:
        return f"ipp://localhost:{self.port}/ipp/print"


class _Answers(http.server.BaseHTTPRequestHandler):
    printer: ClassVar[OddPrinter]

    def do_POST(self) -> None:
        length = int(self.headers["Content-Length"])
        content = self.rfile.read(min(length, 2000))
        while len(content) < length:
            time.sleep(self.printer.pause)
            content += self.rfile.read(min(length - len(content), 1 << 20))
        operation = struct.unpack_from(">H", content, 2)[0]
        self.printer.asked.append(operation)
        told = self.printer.answers.get(operation, lambda _: answer())(self)
        if told is not None:
            self.send_response(200)
            self.send_header("Content-Length", str(len(told)))
            self.end_headers()
            self.wfile.write(told)

    def log_message(self, *_told: object) -> None:
        """It keeps no log."""


@contextlib.contextmanager
def an_odd_printer() -> Iterator[OddPrinter]:
    """One that is ready, and takes nothing until it is told what to say."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), _Answers)
    server.daemon_threads = True
    printer = OddPrinter(server.server_address[1], {GET_PRINTER: lambda _: READY})
    server.RequestHandlerClass = type("_Mine", (_Answers,), {"printer": printer})
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield printer
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
