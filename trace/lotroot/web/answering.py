"""How does a program answer requests beside what else it does, and stop without a connection left behind?"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from flask import Flask
from waitress.server import create_server


@contextmanager
def answering(app: Flask, threads: int) -> Iterator[int]:
    """Answer on a free port of this machine until the block ends; gives the port."""
    server = create_server(app, host="127.0.0.1", port=0, threads=threads)
    over = threading.Event()

    def answer() -> None:
        """Answer until it is over; then this thread, which alone owns the connections, lets go of them."""
        while not over.is_set():
            server.asyncore.loop(timeout=0.02, map=server._map, count=1)
        for channel in list(server._map.values()):
            channel.handle_close()

    thread = threading.Thread(target=answer, daemon=True)
    thread.start()
    try:
        yield int(server.effective_port)
    finally:
        server.task_dispatcher.shutdown()  # the workers first: they wake the loop through a pipe
        over.set()
        thread.join(timeout=5)
