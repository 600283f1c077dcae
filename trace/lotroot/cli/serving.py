"""How is the program served to the plant's browsers?"""

import argparse
import ctypes
import signal
import socket
import sys
from contextlib import ExitStack
from types import FrameType
from typing import NoReturn

from waitress.server import create_server

from lotroot.cli.options import Commands, add_command, say
from lotroot.errors import Unreadable
from lotroot.house import open_house
from lotroot.plant.adopted import current_plant
from lotroot.posting.door import Door
from lotroot.web.app import create_app
from lotroot.web.desk import Line
from lotroot.worker import Worker

PORT = 8470
LAST_PORT = 65_535
THREADS = 8
_M_MMAP_THRESHOLD, _LARGE = -3, 1 << 20  # mallopt(3)


def add_to(commands: Commands) -> None:
    """Add serve."""
    one = add_command(
        commands,
        "serve",
        serve,
        "Serve the pages to the plant's browsers.",
        "Runs until it is stopped with Ctrl+C. Only this machine reaches it unless --host says otherwise:\n"
        "0.0.0.0 lets every tablet on the plant's own network in. Do not open it to the internet.\n\n"
        "  lotroot serve --host 0.0.0.0",
    )
    add_address(one)


def add_address(one: argparse.ArgumentParser) -> None:
    """Add --host and --port."""
    one.add_argument(
        "--host", default="127.0.0.1", metavar="NAME", help="who may reach it (default: 127.0.0.1)"
    )
    one.add_argument(
        "--port", type=_port, default=PORT, metavar="NUMBER", help=f"0 for any free one (default: {PORT})"
    )


def serve(arguments: argparse.Namespace) -> int:
    """Serve until stopped. The database is held meanwhile: whatever else would write to it is refused."""
    _return_large_blocks()
    with ExitStack() as stack:
        house = open_house(arguments.database)
        stack.callback(house.close)
        with house.reading() as connection:
            plant = current_plant(connection)
        door = Door(house)
        listening = stack.enter_context(_listening(arguments.host, arguments.port))
        app = create_app(house, door, demo=plant.demo)
        server = create_server(app, sockets=[listening], threads=THREADS, ident=None)
        stack.callback(server.close)
        worker = Worker(door)
        worker.start()
        stack.callback(worker.stop)
        app.extensions["lotroot"].health.append(lambda: _printing(worker))
        signal.signal(signal.SIGTERM, _stop)
        reached = _reached_at(arguments.host, listening.getsockname()[1])
        say(f"{plant.name}: {reached} (Ctrl+C stops it)")
        sys.stdout.flush()
        server.run()
    return 0


def _return_large_blocks() -> None:
    """Have glibc give blocks of a MiB and more back to the system as soon as they are freed.

    Left alone, it keeps in its heap what hashing a PIN (19 MiB) and drawing a label took once, which makes
    40 MB of a server that runs for months.
    """
    if sys.platform == "linux" and hasattr(library := ctypes.CDLL(None), "mallopt"):
        library.mallopt(_M_MMAP_THRESHOLD, _LARGE)


def _printing(worker: Worker) -> Line:
    """Whether labels are printed, for the health page."""
    faults = "; ".join(f"{code}: {fault}" for code, fault in sorted(worker.faults.items()) if fault)
    trouble = worker.trouble or faults
    words = trouble or ("at work" if worker.alive else "The thread that prints has ended.")
    return Line("Print worker", words, well=worker.alive and not trouble)


def _reached_at(host: str, port: int) -> str:
    """The address for other devices, where they may come in: what this machine is called on its network."""
    if host not in ("0.0.0.0", "::"):
        return f"http://{host}:{port}"
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
        try:
            out.connect(("192.0.2.1", 9))  # a documentation address (RFC 5737): nothing is sent there
            own = out.getsockname()[0]
        except OSError:
            own = socket.gethostname()
    return f"on this machine http://127.0.0.1:{port}, from a phone or tablet http://{own}:{port}"


def _port(text: str) -> int:
    # The system would quietly take 70000 modulo 65536.
    if not (text.isascii() and text.isdigit() and int(text) <= LAST_PORT):
        raise argparse.ArgumentTypeError(f"{text} is no port: a number from 0 to {LAST_PORT}")
    return int(text)


def _listening(host: str, port: int) -> socket.socket:
    try:
        return socket.create_server((host, port))
    except OSError as error:
        raise Unreadable(
            f"{host}:{port} cannot be served on.",
            value=f"{host}:{port}",
            expected=f"A free address of this machine; the system says: {error}.",
            next_step="Name another one with --host or --port.",
        ) from error


def _stop(_signal: int, _frame: FrameType | None) -> NoReturn:
    raise SystemExit(0)
