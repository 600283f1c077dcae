"""By how much do weighed rolls differ from theory, and which factor does each product go by?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unknown
from lotroot.factors.standing import factor_in_force, factors_of
from lotroot.processes.definition import Plant, Product
from lotroot.reconciliation.factors import SetFactor, WithdrawFactor
from lotroot.reconciliation.rolls import Rolls, may_have_factor, products_with_factor, weighed_rolls
from lotroot.tracing.run_rests import factor_words
from lotroot.tracing.words import Words
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.answers import FILES, file_url, wanted
from lotroot.web.cells import Table
from lotroot.web.desk import desk
from lotroot.web.factor_tables import (
    KNOWN,
    factors_file,
    history_table,
    products_table,
    rolls_facts,
    rolls_table,
)
from lotroot.web.frame import frame, signed_in

blueprint = Blueprint("factors", __name__, url_prefix="/factors")
NAV = (("Factors from weighed rolls", "factors.page", SetFactor),)


@blueprint.get("")
def page() -> Response:
    """Every product that may have a factor: theory, weighed rolls, the fit, and what is in force."""
    plant = signed_in().plant
    with desk().house.reading() as connection:
        words = Words(connection)
        rows = [_found(connection, one) for one in (products_with_factor(plant) if plant else [])]
        if wanted() in FILES:
            return factors_file(rows)
        table = products_table(rows, words)
    return make_response(
        render_template("factors.html", **frame(table=table, known=KNOWN, file_url=file_url))
    )


@blueprint.get("/<product>")
def one(product: str) -> str:
    """One product: its weighed rolls, the factors it had, and the buttons."""
    return _page(product)


@blueprint.post("/<product>/set")
def put(product: str) -> Response:
    """The product goes by what its rolls give."""

    def again(errors: Errors) -> str:
        return _page(product, errors)

    try:
        command = SetFactor(product, filled.whole("upto"), filled.whole("factor_ppm"))
    except LotrootError as error:
        return shown_again(error, again, "set")
    return record(command, _address(product), again=again, field="set")


@blueprint.post("/<product>/withdraw")
def withdraw(product: str) -> Response:
    """The product goes by theory alone again."""
    command = WithdrawFactor(product, request.form.get("why", ""))
    return record(command, _address(product), again=lambda errors: _page(product, errors), field="why")


def _address(product: str) -> str:
    return url_for("factors.one", product=product)


def _page(code: str, errors: Errors | None = None) -> str:
    found = signed_in()
    product = _product(found.plant, code)
    with desk().house.reading() as connection:
        words = Words(connection)
        rolls, force = _found(connection, product)
        history = history_table(factors_of(connection, code), product.mass_per_metre_mg, words)
        tables: list[Table] = [rolls_table(rolls, words), history]
        facts = rolls_facts(rolls, words)
    settled = force is not None and force.factor_ppm == rolls.factor_ppm
    values: dict[str, Any] = {
        "name": product.name,
        "address": _address(code),
        "facts": facts,
        "in_force": factor_words(force, words),
        "rolls": rolls,
        "tables": tables,
        "known": KNOWN,
        "why": request.form.get("why", ""),
        "errors": errors or [],
        "may_set": rolls.enough and not settled and found.may(SetFactor) and bool(found.person),
        "may_withdraw": force is not None and found.may(WithdrawFactor) and bool(found.person),
    }
    return render_template("factor.html", **frame(**values))


def _found(connection: Connection, product: Product) -> tuple[Rolls, Any]:
    rolls = weighed_rolls(connection, product, desk().now())
    return rolls, factor_in_force(connection, product.code, product.mass_per_metre_mg)


def _product(plant: Plant | None, code: str) -> Product:
    product = plant.products.get(code) if plant else None
    if plant is None or product is None or not may_have_factor(plant, product):
        raise Unknown(
            "This is no product whose rolls are weighed one by one.",
            value=code[:60],
            expected="A product with a mass per metre and a length.",
            next_step="Open the page of factors and choose one.",
        )
    return product
