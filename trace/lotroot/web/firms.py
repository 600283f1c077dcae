"""What is known of one supplier or customer, and what does a customer call our products?"""

from typing import Any

from flask import Blueprint, Response, render_template, request, url_for

from lotroot.accounts.firms import ChangeParty, SetCustomerItem
from lotroot.errors import Unknown
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import current_plant, customer_items, party_or_none
from lotroot.web.acting import Errors, record
from lotroot.web.desk import desk
from lotroot.web.frame import frame, somebody

blueprint = Blueprint("firms", __name__, url_prefix="/firms/<code>")
FIELDS = ("country", "market", "language")


@blueprint.get("")
def page(code: str) -> str:
    """Country, market, language, and a customer's item codes."""
    return _page(code)


@blueprint.post("")
def change(code: str) -> Response:
    """Another country, market or language."""
    told = [request.form.get(name, "").strip() for name in FIELDS]
    return record(ChangeParty(code, *told), _back(code), again=lambda errors: _page(code, errors))


@blueprint.post("/items")
def item(code: str) -> Response:
    """A customer's code for a product."""
    product, item = (request.form.get(name, "").strip() for name in ("product", "item"))
    command = SetCustomerItem(code, product, item)
    return record(command, _back(code), again=lambda errors: _page(code, errors), field="item")


def _back(code: str) -> str:
    return url_for("firms.page", code=code)


def _page(code: str, errors: Errors | None = None) -> str:
    found = somebody()
    with desk().house.reading() as connection:
        firm, plant = party_or_none(connection, code), current_plant(connection)
        if firm is None:
            raise Unknown(
                f"No firm {code[:40]} is known here.",
                value=code[:40],
                expected="A firm of the list under People and firms.",
                next_step="Choose it there, or add it.",
            )
        name = name_of(connection, code)
        known = {row.product: row.item for row in customer_items(connection, code)}
    names = {product.code: product.name for product in plant.products.values()}
    items = [{"product": names.get(product, product), "item": item} for product, item in known.items()]
    kept = {field: request.form.get(field, firm._mapping[field]) for field in FIELDS}
    values: dict[str, Any] = {
        "firm": {"code": firm.code, "name": name, "kind": firm.kind},
        "items": items,
        "products": list(names.items()),
        "kept": {**kept, **{field: request.form.get(field, "") for field in ("product", "item")}},
        "errors": errors or [],
        "may_change": found.may(ChangeParty),
        "may_set": found.may(SetCustomerItem) and firm.kind == "customer",
    }
    return render_template("firm.html", **frame(**values))
