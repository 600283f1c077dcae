"""What did people record last, at a station?"""

from collections.abc import Sequence

from sqlalchemy import Connection, select

from lotroot.ledger.book import posting_by_id
from lotroot.ledger.events import Posting
from lotroot.ledger.tables import posting
from lotroot.posting.features import HANDLERS


def recent(connection: Connection, station: str, limit: int = 1) -> Sequence[Posting]:
    """The last postings of people at a station, the latest first; the house's own are not among them."""
    own = [command.__name__ for command, handler in HANDLERS.items() if handler.internal]
    query = (
        select(posting.c.id)
        .where(posting.c.station == station, posting.c.command.not_in(own))
        .order_by(posting.c.id.desc())
        .limit(limit)
    )
    found = [posting_by_id(connection, number) for number in connection.scalars(query).all()]
    return [made for made in found if made is not None]
