"""Of how many rows is a recall made?

It goes by each lot made of the coil, each link of these, what stands of them with its carrier and the
shipment it is on, and what was loaded of them with its shipment. Looked up here by counting, so that the
time of an answer can be told beside what is in it.
"""

from typing import NamedTuple

from sqlalchemy import Connection, text


class Visits(NamedTuple):
    """Rows of each kind; `gone` of the standings are on a shipment."""

    lots: int
    links: int
    standings: int
    carriers: int
    gone: int
    loads: int

    @property
    def rows(self) -> int:
        """All of them, with the shipment of each load."""
        return sum(self) + self.loads


_VISITS = text("""
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.number = :number
  UNION
  SELECT e.child FROM walk CROSS JOIN edge e WHERE e.parent = walk.id AND e.state = 0
), mine(number) AS (
  SELECT l.number FROM walk CROSS JOIN lot l WHERE l.id = walk.id
), stood(carrier, shipment) AS (
  SELECT c.number, d.number FROM mine CROSS JOIN standing s
    LEFT JOIN carrier c ON c.number = s.spot
    LEFT JOIN shipment d ON d.number = COALESCE(c.spot, s.spot)
   WHERE s.lot = mine.number AND s.amount > 0
)
SELECT (SELECT COUNT(*) FROM mine),
       (SELECT COUNT(*) FROM walk CROSS JOIN edge e WHERE e.child = walk.id AND e.state = 0),
       (SELECT COUNT(*) FROM stood),
       (SELECT COUNT(carrier) FROM stood),
       (SELECT COUNT(shipment) FROM stood),
       (SELECT COUNT(*) FROM mine CROSS JOIN load g WHERE g.lot = mine.number AND g.off IS NULL)
""")


def visited(connection: Connection, coil: str) -> Visits:
    """The rows a recall of a coil goes by."""
    return Visits(*connection.execute(_VISITS, {"number": coil}).one())
