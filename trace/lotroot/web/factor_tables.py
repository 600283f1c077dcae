"""How do weighed rolls, what they give, and the factors there were stand in tables and files?"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from flask import Response, url_for
from markupsafe import Markup
from sqlalchemy import Row

from lotroot.factors.standing import Factor, in_thousandths, standing_of
from lotroot.identity import ItemNumber, number_from
from lotroot.reconciliation.rolls import ENOUGH, MONTHS, MOST, Rolls, ppm
from lotroot.tracing.words import Words
from lotroot.web.answers import iso, wanted
from lotroot.web.cells import Table, amounts, column, link, tag
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json

SHOWN = 20
"""Rolls on the page; the fit takes all."""
KNOWN = (
    f"The factor is the mean of roll over theory of the latest {MOST} weighed rolls of closed runs, {MONTHS} "
    f"months back; fewer than {ENOUGH} make none. Theory leaves out what a machine does: bends, knuckles, "
    "twist. Plausibility and the balance of a run go by theory times the factor; what was weighed stays."
)
FIELDS = (
    "product", "theory_mg_per_metre", "theory_g_per_roll", "rolls", "mean", "deviation", "smallest",
    "largest", "in_force", "set_at", "set_from_rolls",
)  # fmt: skip

Found = tuple[Rolls, Factor | None]


def products_table(rows: Sequence[Found], words: Words) -> Table:
    """One row a product."""
    cells = [_product_row(rolls, force, words) for rolls, force in rows]
    columns = [
        column("Product", "product"),
        column("A metre by theory", "metre", "g"),
        column("A roll by theory", "roll", "kg"),
        column("Rolls weighed", "rolls", ""),
        column("Mean of theory", "mean", ""),
        column("Deviation", "deviation", ""),
        column("Smallest", "smallest", ""),
        column("Largest", "largest", ""),
        column("In force", "force"),
    ]
    empty = "No product has a mass per metre and a length, and rolls that are weighed one by one."
    return Table("Theory and weighed rolls", columns, cells, empty)


def _product_row(rolls: Rolls, force: Factor | None, words: Words) -> dict[str, Any]:
    product = rolls.product
    address = url_for("factors.one", product=product.code)
    return {
        "product": Markup('<a href="{}">{}</a>').format(address, product.name),
        "metre": f"{Decimal(product.mass_per_metre_mg or 0) / 1000:.1f}",
        "roll": f"{Decimal(rolls.theory_g) / 1000:.2f}",
        "rolls": str(len(rolls.rows)),
        **_spread(rolls),
        "force": f"{force.shown}, by {words.named(force.person).name}" if force else "theory alone",
    }


def _spread(rolls: Rolls) -> dict[str, str]:
    if rolls.fit is None or not rolls.enough:
        return {"mean": "too few", "deviation": "", "smallest": "", "largest": ""}
    fit = rolls.fit
    return {
        "mean": in_thousandths(ppm(fit.mean_ratio)),
        "deviation": in_thousandths(ppm(fit.deviation)),
        "smallest": in_thousandths(ppm(fit.smallest)),
        "largest": in_thousandths(ppm(fit.largest)),
    }


def rolls_facts(rolls: Rolls, words: Words) -> list[tuple[str, str]]:
    """What theory says of a roll, and what the weighed ones say of theory."""
    product = rolls.product
    told = [
        ("A roll by theory", words.amount(rolls.theory_g, "g")),
        ("Its length", words.amount(product.length_mm or 0, "mm")),
        ("Theory is from", product.source or "plant.toml"),
        ("Rolls weighed", str(len(rolls.rows))),
    ]
    if rolls.fit is None or not rolls.enough:
        return [*told, ("Mean of theory", f"too few rolls; {ENOUGH} are needed")]
    spread = _spread(rolls)
    return [
        *told,
        ("Mean of theory", spread["mean"]),
        ("Standard deviation", spread["deviation"]),
        ("Smallest and largest", f"{spread['smallest']} and {spread['largest']}"),
    ]


def rolls_table(rolls: Rolls, words: Words) -> Table:
    """The latest rolls, each with what it weighed against theory."""
    some = rolls.rows[:SHOWN]
    weighed = amounts([(row.amount, "g") for row in some], words.plant)
    cells = [
        {
            "roll": link(str(ItemNumber(number_from(row.lot), row.serial))),
            "weighed": text,
            "ratio": in_thousandths(row.amount * 1_000_000 // rolls.theory_g),
            "run": link(row.run),
            "at": words.moment(row.ended).shown,
        }
        for row, text in zip(some, weighed.texts, strict=True)
    ]
    columns = [
        column("Roll", "roll"),
        column("Weighed", "weighed", weighed.unit),
        column("Of theory", "ratio", ""),
        column("Run", "run"),
        column("Made", "at"),
    ]
    more = f", the latest {SHOWN} of {len(rolls.rows)}" if len(rolls.rows) > SHOWN else ""
    return Table(f"Weighed rolls{more}", columns, cells, "No roll of a closed run was weighed yet.")


def history_table(rows: Sequence[Row[Any]], theory_mg: int | None, words: Words) -> Table:
    """Every factor the product had, the latest first."""
    cells = [
        {
            "factor": in_thousandths(row.factor_ppm),
            "rolls": str(row.rolls),
            "between": f"{in_thousandths(row.smallest_ppm)} to {in_thousandths(row.largest_ppm)}",
            "by": f"{words.named(row.person).name}, {words.moment(row.at).shown}",
            "now": tag(now)
            if not row.why
            else Markup("{} {}: {}").format(tag(now), _by(row, words), row.why),
        }
        for row, now in standing_of(rows, theory_mg)
    ]
    columns = [
        column("Factor", "factor", ""),
        column("Rolls", "rolls", ""),
        column("They lay from", "between"),
        column("Set by", "by"),
        column("Now", "now"),
    ]
    return Table("Factors it had", columns, cells, "It always went by theory alone.")


def _by(row: Row[Any], words: Words) -> str:
    return f"by {words.named(row.withdrawn_by).name}, {words.moment(row.withdrawn_at).shown}"


def factors_file(rows: Sequence[Found]) -> Response:
    """The products as a file: factors as decimal text, amounts in base units."""
    told = [_record(rolls, force) for rolls, force in rows]
    if wanted() == "json":
        return as_json({"factors": told}, 200)
    return csv_answer("factors", FIELDS, told)


def _record(rolls: Rolls, force: Factor | None) -> dict[str, Any]:
    fit = rolls.fit if rolls.enough else None
    return {
        "product": rolls.product.code,
        "theory_mg_per_metre": rolls.product.mass_per_metre_mg,
        "theory_g_per_roll": rolls.theory_g,
        "rolls": len(rolls.rows),
        "mean": in_thousandths(ppm(fit.mean_ratio)) if fit else None,
        "deviation": in_thousandths(ppm(fit.deviation)) if fit else None,
        "smallest": in_thousandths(ppm(fit.smallest)) if fit else None,
        "largest": in_thousandths(ppm(fit.largest)) if fit else None,
        "in_force": force.shown if force else None,
        "set_at": iso(force.at) if force else None,
        "set_from_rolls": force.rolls if force else None,
    }
