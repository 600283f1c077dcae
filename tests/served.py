"""How does a test serve a house to a real browser: the application, the print worker, over real HTTP?"""

from collections.abc import Iterator
from contextlib import contextmanager

from lotroot.database import Database
from lotroot.posting.door import Door
from lotroot.web.answering import answering
from lotroot.web.app import create_app
from lotroot.worker import Worker


@contextmanager
def served(database: Database, door: Door, *, demo: bool = True) -> Iterator[str]:
    """Serve on a free port of this machine until the block ends; gives the address."""
    worker = Worker(door)
    with answering(create_app(database, door, demo=demo), threads=6) as port:
        worker.start()
        try:
            yield f"http://127.0.0.1:{port}"
        finally:
            worker.stop()
