"""Which application answers on the web, and which pages is it made of?"""

from typing import Any

from flask import Flask
from jinja2 import FileSystemLoader
from werkzeug.routing import IntegerConverter

from lotroot.database import Database
from lotroot.posting.door import Door
from lotroot.settings import data_folder
from lotroot.web import (
    api,
    bins,
    catchup,
    checking,
    checks,
    compare,
    complaints,
    corrections,
    counting,
    counts,
    delivery,
    dies,
    emergency,
    factors,
    figures,
    figures_typed,
    files,
    find,
    firms,
    first,
    gaps,
    health,
    holds,
    layouts,
    lineage_files,
    lineage_picture,
    lot_acts,
    lots,
    mass,
    met,
    months,
    morning,
    moving,
    packing,
    people,
    pictures,
    pin,
    plant,
    practice,
    printers,
    queue,
    receiving,
    reckon,
    scanner,
    scans,
    shipment,
    signin,
    station,
    stretch,
    tables,
    tares,
    tray,
    yields,
    yields_losses,
    yields_runs,
)
from lotroot.web.acting import new_key
from lotroot.web.desk import Desk
from lotroot.web.problems import speak_plainly
from lotroot.web.security import protect

GROUPS: tuple[tuple[str, tuple[Any, ...]], ...] = (
    (
        "Floor",
        (
            first,
            signin,
            pin,
            scans,
            station,
            receiving,
            delivery,
            moving,
            packing,
            shipment,
            checking,
            bins,
            tares,
            counting,
            catchup,
        ),
    ),
    (
        "Office",
        (
            morning,
            find,
            holds,
            complaints,
            counts,
            lots,
            lot_acts,
            corrections,
            lineage_files,
            checks,
            files,
            compare,
            met,
            gaps,
            stretch,
            lineage_picture,
            yields,
            yields_runs,
            yields_losses,
            months,
            mass,
            figures,
            figures_typed,
        ),
    ),
    (
        "Labels",
        (
            tray,
            queue,
            printers,
            emergency,
            scanner,
            layouts,
            pictures,
        ),
    ),
    (
        "Plant",
        (
            plant,
            people,
            firms,
            dies,
            factors,
            reckon,
            tables,
            health,
            api,
        ),
    ),
)
"""Every module with a `blueprint`, in the order of the list of pages, and the word above its pages. See the
package's docstring."""


class Counted(IntegerConverter):
    """The number of a posting, event, job or hold in an address; longer ones than a record can hold are
    no address of this program."""

    regex = r"[0-9]{1,15}"


def create_app(house: Database, door: Door, *, demo: bool) -> Flask:
    """The web application of one open house.

    `demo`: the plant is invented, so any browser may be any station. The caller keeps the house open,
    starts the print worker, and serves the application.
    """
    app = Flask("lotroot.web")
    app.url_map.converters["int"] = Counted
    app.jinja_loader = FileSystemLoader(data_folder("templates") / "pages")
    app.jinja_env.globals["new_key"] = new_key
    desk = Desk(house, door, demo)
    app.extensions["lotroot"] = desk
    app.extensions["lotroot_nav"] = [(word, []) for word, _ in GROUPS]
    protect(app)
    speak_plainly(app)
    for place, (_, modules) in enumerate(GROUPS):
        for module in (practice, *modules) if demo and not place else modules:
            _add(app, desk, module, place)
    return app


def _add(app: Flask, desk: Desk, module: Any, group: int) -> None:
    app.register_blueprint(module.blueprint)
    app.extensions["lotroot_nav"][group][1].extend(getattr(module, "NAV", ()))
    page = getattr(module, "PAGE", None)
    if page is not None:
        desk.pages[page.name] = page
