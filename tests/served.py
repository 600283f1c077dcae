"""How does a test serve a house to a real browser: the application, the print worker, over real HTTP?"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from lotroot.database import Database
from lotroot.posting.door import Door
from lotroot.web.app import create_app
from lotroot.worker import Worker
from waitress.server import create_server


@contextmanager
def served(database: Database, door: Door, *, demo: bool = True) -> Iterator[str]:
    """Serve on a free port of this machine until the block ends; gives the address."""
    server = create_server(create_app(database, door, demo=demo), host="127.0.0.1", port=0, threads=6)
    worker = Worker(door)
    worker.start()
    over = threading.Event()

    def answer() -> None:
        """Answer until it is over; then this thread, which alone owns the connections, closes them."""
        while not over.is_set():
            server.asyncore.loop(timeout=0.02, map=server._map, count=1)
        for channel in list(server._map.values()):
            channel.handle_close()

    thread = threading.Thread(target=answer, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:
        server.task_dispatcher.shutdown()  # the workers first: they wake the loop through a pipe
        over.set()
        thread.join(timeout=5)
        worker.stop()
