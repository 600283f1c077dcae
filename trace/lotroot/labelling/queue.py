"""How does a label get into the outbox, in the same transaction as the fact it belongs to?"""

import dataclasses
import json
from collections.abc import Sequence

from sqlalchemy import Connection, func, insert, select

from lotroot.labelling.fields import fields_for, layout_for
from lotroot.labelling.outbox import QUEUED
from lotroot.labelling.printed import MOST_COPIES, next_copy
from lotroot.labelling.printers import printer_at
from lotroot.labelling.tables import print_job
from lotroot.ledger.events import Posting
from lotroot.work import LabelRequest

_last = select(func.coalesce(func.max(print_job.c.id), 0))


def add(connection: Connection, posting: Posting, requests: Sequence[LabelRequest]) -> None:
    """Queue the labels a posting asked for, in order.

    A number that has a label already gets the next copy, so that the old one is told from the new.
    """
    for asked in requests:
        copy = max(asked.copy, next_copy(connection, asked.number, asked.first, asked.last))
        request = dataclasses.replace(asked, copy=min(copy, MOST_COPIES))
        row = {
            "id": int(connection.scalar(_last) or 0) + 1,
            "posting": posting.id,
            "number": request.number,
            "first": request.first,
            "last": request.last,
            "copy": request.copy,
            "layout": layout_for(connection, request),
            "fields": json.dumps(fields_for(connection, posting, request), ensure_ascii=False),
            "printer": request.printer or printer_at(connection, posting.station),
            "station": posting.station,
            "state": QUEUED,
            "attempts": 0,
            "reason": "",
            "queued": posting.entered,
            "fresh": posting.entered,
        }
        connection.execute(insert(print_job), [row])
