"""How does one talk to a printer: what it offers, is it well, print this, what became of it?

Internet Printing Protocol, RFC 8010 and 8011, over the standard library's HTTP: Get-Printer-Attributes,
Print-Job, Get-Jobs, Get-Job-Attributes, Cancel-Job. What went wrong is told apart by what it means for the
label: `PrinterUnreached` is certainly not printed; after `ReplyLost` nobody knows until the printer is asked.
"""

import contextlib
import hashlib
import http.client
import itertools
import re
import socket
import ssl
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit

from lotroot_printing import ipp_message as message
from lotroot_printing.errors import AddressRefused, JobRefused, PrinterUnreached, ReplyLost
from lotroot_printing.ipp_answers import Job, Offer, job_of, number_of, offer_of, text_of, wanted, within

PORT = 631
"""RFC 8010 section 4; ipps uses it, too (RFC 7472)."""

PRINT_JOB, CANCEL_JOB, GET_JOB, GET_JOBS, GET_PRINTER = 0x02, 0x08, 0x09, 0x0A, 0x0B
NOT_FOUND, GONE, NOT_ACCEPTING, BUSY = 0x406, 0x407, 0x506, 0x507
TIMEOUT = 5.0
"""Seconds for one answer, unless said otherwise (our own choice)."""

_JOBS_AT_MOST = 200
_MIB = 1 << 20
_PIECE = 1 << 16
"""Bytes sent within one time-out: a printer takes a long job as fast as it prints."""

_MOST_HEARD = 2 * _MIB
"""Bytes of an answer; 200 jobs are less than a tenth of it."""

_OK_BELOW = 0x100


@dataclass(frozen=True)
class Address:
    """Where a printer is: ipp:// or ipps://, host, port and path."""

    secure: bool
    host: str
    port: int
    path: str

    @property
    def uri(self) -> str:
        """The address as the printer is told it."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"ipp{'s' if self.secure else ''}://{host}:{self.port}{self.path}"


_PLAIN = re.compile(r"[!-~]{1,255}")
_HOST = re.compile(r"(?=.{1,253}$)[^.]{1,63}(\.[^.]{1,63})*\.?|[0-9a-f:.]*:[0-9a-f:.]*(%.+)?")
"""A name's parts are of 1 to 63 characters, 253 in all (RFC 1035 2.3.4); else an IPv6 address."""


def address(text: str) -> Address:
    """The address a person typed. Raises AddressRefused."""
    try:
        parts = urlsplit(text.strip())
        port = parts.port or PORT
    except ValueError:
        parts, port = urlsplit(""), 0
    plain = _PLAIN.fullmatch(text.strip()) and _HOST.fullmatch(parts.hostname or "")
    if parts.scheme not in ("ipp", "ipps") or not port or not plain or parts.username:
        raise AddressRefused(
            "This is no printer's address.",
            value=text[:80],
            expected="ipp:// or ipps://, its name or number on the network, and a path: ipp://10.0.0.17/ipp/print",
            next_step="Print the printer's own network page from its menu; the address stands there.",
        )
    return Address(parts.scheme == "ipps", parts.hostname or "", port, parts.path or "/ipp/print")


@dataclass(frozen=True)
class Document:
    """What is printed: its media type, its bytes, and its size in hundredths of a millimetre."""

    format: str
    content: bytes
    size: tuple[int, int] = (0, 0)


class Printer:
    """One printer by its address.

    `certificate`, if given, is the SHA-256 of the one certificate it is known by, in hex: printers make
    their own, which no authority vouches for. Without it an ipps:// printer needs one this PC trusts.
    """

    def __init__(self, where: Address, *, certificate: str = "", timeout: float = TIMEOUT) -> None:
        self.where = where
        self._certificate = certificate.replace(":", "").lower()
        self._timeout = timeout
        self._numbers = itertools.count(1)

    def offer(self) -> Offer:
        """What it offers and how it is. Raises PrinterUnreached or JobRefused."""
        return offer_of(self._ask(GET_PRINTER).first(message.PRINTER))

    def print_job(self, name: str, document: Document, offer: Offer) -> int:
        """Hand a document over; returns the printer's number for the job.

        Raises PrinterUnreached (not printed), JobRefused (not taken, with the status), ReplyLost (not known).
        """
        asked = [(message.NAME, "job-name", name), (message.MIME, "document-format", document.format)]
        job: list[message.Written] = []
        across, along = document.size
        if any(within(across, wide) and within(along, long) for wide, long in offer.sizes):
            size = {"x-dimension": (across,), "y-dimension": (along,)}
            job.append((message.BEGIN_COLLECTION, "media-col", {"media-size": (size,)}))
        if offer.unscaled:
            job.append((message.KEYWORD, "print-scaling", "none"))
        found = self._ask(PRINT_JOB, asked, job, document.content)
        number = number_of(found.first(message.JOB), "job-id")
        if not number:
            raise self._lost("it gave the job no number")
        return number

    def jobs(self, name: str) -> list[Job]:
        """Its jobs of that name, ended ones included, as far as it remembers them; oldest first."""
        found: dict[int, Job] = {}
        for which in ("not-completed", "completed"):
            asked: list[message.Written] = [
                (message.KEYWORD, "which-jobs", which),
                (message.INTEGER, "limit", _JOBS_AT_MOST),
                *wanted(),
            ]
            groups = self._ask(GET_JOBS, asked).all(message.JOB)
            found |= {job.id: job for job in map(job_of, groups) if job.name == name}
        return [found[number] for number in sorted(found)]

    def job(self, number: int) -> Job | None:
        """One job by its number; None where the printer does not know it, or no longer."""
        try:
            found = self._ask(GET_JOB, [(message.INTEGER, "job-id", number), *wanted()])
        except JobRefused as error:
            if error.status in (NOT_FOUND, GONE):
                return None
            raise
        return job_of(found.first(message.JOB))

    def cancel(self, number: int) -> bool:
        """Ask it to drop a job; False where it would not, which it may have good reason for."""
        try:
            self._ask(CANCEL_JOB, [(message.INTEGER, "job-id", number)])
        except JobRefused:
            return False
        return True

    def certificate(self) -> str:
        """SHA-256 of the certificate it shows, in hex, for a person to compare. Raises PrinterUnreached."""
        context = ssl.create_default_context()
        context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
        try:
            with (
                socket.create_connection((self.where.host, self.where.port), self._timeout) as plain,
                context.wrap_socket(plain, server_hostname=self.where.host) as secure,
            ):
                shown = secure.getpeercert(binary_form=True) or b""
        except OSError as error:
            raise self._unreached(error) from error
        return hashlib.sha256(shown).hexdigest()

    def _ask(
        self,
        operation: int,
        attributes: Sequence[message.Written] = (),
        job: Sequence[message.Written] = (),
        document: bytes = b"",
    ) -> message.Reply:
        """Send one request and read its answer."""
        head = [
            (message.URI, "printer-uri", self.where.uri),
            *[each for each in attributes if each[1] == "job-id"],
            (message.NAME, "requesting-user-name", "lotroot"),
            *[each for each in attributes if each[1] != "job-id"],
        ]
        found = self._exchange(message.request(operation, next(self._numbers), head, job), document)
        if found.status >= _OK_BELOW:
            told = text_of(found.first(message.OPERATION), "status-message")
            raise JobRefused(found.status, told, where=self.where.uri)
        return found

    def _exchange(self, request: bytes, document: bytes) -> message.Reply:
        """Connect, send, read. Up to the end of connecting nothing can have been printed."""
        line = self._line()
        try:
            line.connect()
            self._check_certificate(line)
        except OSError as error:
            line.close()
            raise self._unreached(error) from error
        try:
            head = {"Content-Type": "application/ipp", "Content-Length": str(len(request) + len(document))}
            line.request("POST", self.where.path, itertools.chain([request], _pieces(document)), head)
            # the end of a long one may still wait in the printer's memory
            patience = self._timeout * (1 + len(document) // _MIB)
            line.sock.settimeout(patience)
            with _heard_within(line, 2 * patience):
                answer = line.getresponse()
                content = answer.read(_MOST_HEARD)
            if answer.status >= http.HTTPStatus.INTERNAL_SERVER_ERROR:
                raise self._lost(f"HTTP {answer.status} {answer.reason}")  # of whatever stands before it
            if answer.status != http.HTTPStatus.OK:
                raise JobRefused(0x400, f"HTTP {answer.status} {answer.reason}", where=self.where.uri)
            return message.reply(content)
        except (OSError, http.client.HTTPException, message.Garbled) as error:
            raise self._lost(str(error) or type(error).__name__) from error
        finally:
            line.close()

    def _lost(self, why: str) -> ReplyLost:
        return ReplyLost(
            "The printer's answer did not come.",
            value=f"{self.where.uri}: {why}",
            expected="An answer to every request.",
            next_step="The printer is asked again what became of it.",
        )

    def _line(self) -> http.client.HTTPConnection:
        where = self.where
        if not where.secure:
            return http.client.HTTPConnection(where.host, where.port, timeout=self._timeout)
        context = ssl.create_default_context()
        if self._certificate:
            context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
        return http.client.HTTPSConnection(where.host, where.port, timeout=self._timeout, context=context)

    def _check_certificate(self, line: http.client.HTTPConnection) -> None:
        if not (self._certificate and isinstance(line.sock, ssl.SSLSocket)):
            return
        shown = hashlib.sha256(line.sock.getpeercert(binary_form=True) or b"").hexdigest()
        if shown != self._certificate:
            raise ConnectionError(f"its certificate is {shown}, not the one it is known by")

    def _unreached(self, error: OSError) -> PrinterUnreached:
        if isinstance(error, ssl.SSLCertVerificationError):
            return PrinterUnreached(
                "The printer shows a certificate that nobody vouches for.",
                value=f"{self.where.uri}: {error.verify_message}",
                expected="A certificate this PC trusts, or the one the printer is known by here.",
                next_step="Compare its fingerprint with the printer's own page and enter it under Printers.",
            )
        return PrinterUnreached(
            "The printer does not answer.",
            value=f"{self.where.uri}: {error.strerror or error}",
            expected="A printer that is switched on and on the network.",
            next_step="Look whether it is on, its cable in, its address right.",
        )


def _pieces(body: bytes) -> Iterator[memoryview]:
    """The time-out is one for all that is given to a socket at once, so it is given pieces."""
    whole = memoryview(body)
    return (whole[at : at + _PIECE] for at in range(0, len(body), _PIECE))


def _hang_up(line: socket.socket) -> None:
    with contextlib.suppress(OSError):
        socket.socket.shutdown(line, socket.SHUT_RDWR)  # bare of TLS, which may be reading in this moment


@contextlib.contextmanager
def _heard_within(line: http.client.HTTPConnection, seconds: float) -> Iterator[None]:
    """Hang up on an answer that goes on for longer: the socket's time-out begins anew with every byte."""
    timer = threading.Timer(seconds, _hang_up, (line.sock,))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
