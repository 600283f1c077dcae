"""What should it weigh: a form for each kind of goods, with the answer and what the plant's record says?"""

from collections.abc import Mapping
from typing import Any, NamedTuple

from flask import Blueprint, Response, make_response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import Unknown
from lotroot.processes.definition import Plant, Product
from lotroot.reckoning.fields import WrongField
from lotroot.reckoning.form import Form, Reckoned, filled_from, reckoned
from lotroot.reckoning.forms import FORMS, form_named, products_of
from lotroot.tracing.words import Words
from lotroot.web.answers import file_url, wanted
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.problems import as_json, problem
from lotroot.web.reckon_beside import Beside, beside
from lotroot.web.reckon_tables import answer_table, beside_table, rested_table, told

blueprint = Blueprint("reckon", __name__, url_prefix="/reckon")
NAV = (("What should it weigh?", "reckon.page"),)

JSON = "json"
SAID = "By theory: plausibility, and never the record. What was weighed stays what was weighed."


class Asked(NamedTuple):
    """What the address asks: texts by field, the product that fills them, and whether all is there."""

    texts: Mapping[str, str]
    product: Product | None
    complete: bool


@blueprint.get("")
def page() -> str:
    """The list of forms, each with the products of the plant that fill it."""
    plant = signed_in().plant
    forms = [
        {
            "name": form.name,
            "url": url_for("reckon.one", code=form.code),
            "products": [(product.name, _address(form, product)) for product in products_of(form, plant)],
        }
        for form in FORMS.values()
    ]
    return render_template("reckon.html", **frame(forms=forms, said=SAID))


@blueprint.get("/<code>")
def one(code: str) -> Response:
    """One form; with its values in the address also the answer."""
    form, plant = form_named(code), signed_in().plant
    asked = _asked(form, plant)
    try:
        answer = reckoned(form, asked.texts) if asked.complete or wanted() == JSON else None
    except WrongField as wrong:
        if wanted() == JSON:
            body = {**problem(wrong.error), "field": wrong.field}
            return as_json(body, body["status"], "application/problem+json")
        return _page(form, plant, asked, None, [{"field": wrong.field, "text": str(wrong.error)}])
    if wanted() == JSON and answer is not None:
        with desk().house.reading() as connection:
            found = _beside(connection, plant, asked)
            return as_json(told(form, asked.texts, answer, found), 200)
    return _page(form, plant, asked, answer, [])


def _beside(connection: Connection, plant: Plant | None, asked: Asked) -> Beside | None:
    """The record of the product; an allowance that was typed stands for the plant's factor."""
    found = beside(connection, plant, asked.product, desk().now())
    typed = asked.texts.get("allowance", "1") not in ("", "1")
    return found._replace(factor=None) if found is not None and typed else found


def _address(form: Form, product: Product) -> str:
    return url_for("reckon.one", code=form.code, product=product.code)


def _asked(form: Form, plant: Plant | None) -> Asked:
    """A product that was just chosen fills its sizes in; what is typed after that stays."""
    product = _product(form, plant, request.args.get("product", ""))
    texts = {field.name: request.args.get(field.name, "").strip() for field in form.fields}
    typed = any(texts.values())
    fresh = product is not None and product.code != request.args.get("filled", "")
    if product is not None and fresh:
        sizes = filled_from(form, product)
        texts = {name: sizes.get(name, "") or text for name, text in texts.items()}
        lacking = any(not texts[field.name] for field in form.fields if not field.optional)
        return Asked(texts, product, complete=not lacking)
    if not typed:
        return Asked({field.name: field.usual for field in form.fields}, product, complete=False)
    return Asked(texts, product, complete=True)


def _product(form: Form, plant: Plant | None, code: str) -> Product | None:
    if not code:
        return None
    for product in products_of(form, plant):
        if product.code == code:
            return product
    raise Unknown(
        f"This form takes no sizes from a product {code[:40]!r}.",
        value=code[:40],
        expected="A product of the list in the form.",
        next_step="Choose one there, or none.",
    )


def _page(
    form: Form, plant: Plant | None, asked: Asked, answer: Reckoned | None, errors: list[dict[str, str]]
) -> Response:
    with desk().house.reading() as connection:
        words = Words(connection)
        found = _beside(connection, plant, asked)
        tables = [answer_table(form, answer), beside_table(answer, found, words)] if answer else []
        rested = rested_table(connection, form, answer, words)
    values: dict[str, Any] = {
        "form": form,
        "products": [("", "None"), *((each.code, each.name) for each in products_of(form, plant))],
        "product": asked.product.code if asked.product else "",
        "texts": asked.texts,
        "tables": [table for table in tables if table.rows],
        "rested": rested,
        "said": SAID,
        "own": _own(asked.product),
        "file_url": file_url,
        "errors": errors,
    }
    return make_response(render_template("reckon_form.html", **frame(**values)), 422 if errors else 200)


def _own(product: Product | None) -> str:
    """Where the product's own sizes are from."""
    if product is None or not product.source:
        return ""
    doubt = " From memory: unconfirmed." if product.confidence == "memory" else ""
    return f"{product.name}: {product.source}.{doubt}"
