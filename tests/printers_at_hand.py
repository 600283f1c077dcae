"""A real IPP printer on this machine, whose paper, jams and cables a test can see to; and a CUPS before it.

`ippeveprinter` (Debian cups-ipp-utils) keeps every document it takes; its command, a shell script that asks
the file `mode` what to do, puts the ones that come out into `out`. It needs dbus and avahi, which `.ci/run`
starts.
"""

import contextlib
import io
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import zxingcpp
from lotroot_printing import ipp, raster
from PIL import Image, ImageChops

COMMAND = """#!/bin/sh
here=$(dirname "$0")
case $(cat "$here/mode") in
    paper)  echo "STATE: +media-empty-error" >&2
            while [ "$(cat "$here/mode")" = paper ]; do sleep 0.05; done
            echo "STATE: -media-empty-error" >&2 ;;
    abort)  exit 1 ;;
    slow)   sleep 1.2 ;;
    stuck)  while [ "$(cat "$here/mode")" = stuck ]; do sleep 0.05; done ;;
esac
cp "$1" "$here/out/$(date +%s%N)-$IPP_JOB_NAME"
"""

PATIENCE = 30.0


def until(
    wanted: Callable[[], object], what: str | Callable[[], object] = "", patience: float = PATIENCE
) -> None:
    """Wait until something is so; says what was waited for where it never is."""
    end = time.monotonic() + patience
    while not wanted():
        assert time.monotonic() < end, f"waited {patience:g} s for: {what() if callable(what) else what}"
        time.sleep(0.03)


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def labels_in(content: bytes) -> list[set[str]]:
    """What a scanner reads from each page of a document as the printer took it: raster or PNG."""
    if content.startswith(b"\x89PNG"):
        return [_read(Image.open(io.BytesIO(content)))]
    return [_read(_picture(page)) for page in raster.decode(content)]


def _picture(page: raster.Page) -> Image.Image:
    """The dots of a page; lines are whole bytes, so that what is right of the label is paper."""
    size = (page.width, page.height)
    if page.kind == raster.SGRAY_8:
        return Image.frombytes("L", size, b"".join(page.lines))
    return ImageChops.invert(Image.frombytes("1", size, b"".join(page.lines)).convert("L"))


def _read(image: Image.Image) -> set[str]:
    return {each.text for each in zxingcpp.read_barcodes(image.convert("L"))}


@dataclass
class PaperPrinter:
    """One printer in a folder of its own; `mode` is what it does with the next document."""

    folder: Path
    port: int = field(default_factory=free_port)
    formats: str = "application/pdf,image/png,image/pwg-raster"
    process: subprocess.Popen[bytes] | None = None

    def __post_init__(self) -> None:
        (self.folder / "out").mkdir(parents=True)
        (self.folder / "spool").mkdir()
        self.mode("normal")
        command = self.folder / "command"
        command.write_text(COMMAND)
        command.chmod(0o755)
        self.folder.chmod(0o755)

    @property
    def address(self) -> str:
        return f"ipp://localhost:{self.port}/ipp/print"

    def mode(self, word: str) -> None:
        """normal, paper (out of it until the mode changes), abort, slow, stuck."""
        (self.folder / "mode").write_text(word)

    def start(self) -> None:
        """Switch it on, and wait until it answers."""
        arguments = ["-p", str(self.port), "-n", "localhost", "-k", "-d", str(self.folder / "spool")]
        arguments += ["-c", str(self.folder / "command"), "-f", self.formats, "Trial printer"]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(["ippeveprinter", *arguments], stdout=log, stderr=log)
        until(lambda: self._answers() or self._dead(), "the printer to answer")
        if self._dead():
            told = (self.folder / "log").read_text()
            pytest.skip(f"needs ippeveprinter with dbus-daemon and avahi-daemon at work: {told.strip()}")

    def stop(self) -> None:
        """Switch it off, as pulling the plug does."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
        if (self.folder / "mode").read_text() in ("paper", "stuck"):
            self.mode("abort")  # or the script at work would wait for ever

    def printed(self) -> list[set[str]]:
        """The labels that came out, in order, each as the texts its symbols say."""
        return [page for path in self._out() for page in labels_in(path.read_bytes())]

    def log(self) -> str:
        """What it says of itself."""
        return (self.folder / "log").read_text()

    def names(self) -> list[str]:
        """The names of the jobs that came out, in order."""
        return [path.name.partition("-")[2] for path in self._out()]

    def _out(self) -> list[Path]:
        return sorted((self.folder / "out").iterdir())

    def _answers(self) -> bool:
        with contextlib.suppress(OSError), socket.create_connection(("localhost", self.port), 1):
            return True
        return False

    def _dead(self) -> bool:
        return self.process is not None and self.process.poll() is not None


def needs_a_printer() -> None:
    """Skip where no IPP printer can be run."""
    if shutil.which("ippeveprinter") is None:
        pytest.skip("needs a real IPP printer: apt install cups-ipp-utils avahi-daemon dbus")


@contextlib.contextmanager
def a_printer(folder: Path, **more: str) -> Iterator[PaperPrinter]:
    """A printer that is switched on."""
    needs_a_printer()
    printer = PaperPrinter(folder, **more)
    printer.start()
    try:
        yield printer
    finally:
        printer.stop()


CUPSD = """
LogLevel warn
MaxLogSize 0
Listen localhost:{port}
Listen {folder}/cups.sock
DefaultAuthType None
WebInterface No
BrowseLocalProtocols none
<Location />
  Order allow,deny
  Allow all
</Location>
<Location /admin>
  Order allow,deny
  Allow all
</Location>
<Policy default>
  <Limit All>
    Order deny,allow
    Allow all
  </Limit>
</Policy>
"""
CUPS_FILES = """
ServerRoot {folder}/root
StateDir {folder}/state
CacheDir {folder}/cache
RequestRoot {folder}/spool
TempDir {folder}/temp
AccessLog {folder}/access
ErrorLog {folder}/errors
PageLog {folder}/pages
"""


@dataclass
class PrintServer:
    """A CUPS in a folder of its own, with one queue, called gate, before a printer."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes]

    @property
    def address(self) -> str:
        return f"ipp://localhost:{self.port}/printers/gate"

    def tell(self, command: str, *arguments: str) -> None:
        """One of CUPS's own commands."""
        host = ["-h", str(self.folder / "cups.sock")]
        subprocess.run([command, *host, *arguments], check=True, capture_output=True)


@contextlib.contextmanager
def a_print_server(folder: Path, printer: PaperPrinter) -> Iterator[PrintServer]:
    """CUPS with a queue for that printer."""
    if shutil.which("cupsd") is None or shutil.which("lpadmin") is None:
        pytest.skip("needs a real print server: apt install cups cups-client cups-filters")
    for name in ("root", "state", "cache", "spool", "temp"):
        (folder / name).mkdir(parents=True)
        shutil.chown(folder / name, "root", "lp")
        (folder / name).chmod(0o775)
    port = free_port()
    (folder / "cupsd.conf").write_text(CUPSD.format(folder=folder, port=port))
    (folder / "cups-files.conf").write_text(CUPS_FILES.format(folder=folder))
    files = ["-c", str(folder / "cupsd.conf"), "-s", str(folder / "cups-files.conf")]
    process = subprocess.Popen(["cupsd", "-f", *files])
    server = PrintServer(folder, port, process)
    try:
        until((folder / "cups.sock").exists, "CUPS to listen")
        server.tell("lpadmin", "-p", "gate", "-E", "-v", printer.address, "-m", "everywhere")
        # the queue is a raw one until CUPS has asked the printer what it takes
        device = ipp.Printer(ipp.address(server.address))
        until(lambda: "Everywhere" in device.offer().name, "CUPS to know the printer")
        yield server
    finally:
        process.terminate()
        process.wait()
