"""How do figures by theory, what the record says beside them, and what they rest on stand in tables?"""

from collections.abc import Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from markupsafe import Markup
from sqlalchemy import Connection

from lotroot.confirmed.figures import figure_of
from lotroot.confirmed.standing import Standing, standing
from lotroot.errors import Unknown
from lotroot.quantities import THIN_SPACE
from lotroot.reckoning.form import Figure, Form, Reckoned
from lotroot.reference import row as published
from lotroot.tracing.figure_words import SURE, stands
from lotroot.tracing.run_rests import factor_words
from lotroot.tracing.words import Words
from lotroot.web.cells import Table, column, tag, together
from lotroot.web.reckon_beside import Beside, averaged, by_factor, recorded


def answer_table(form: Form, answer: Reckoned) -> Table:
    """The figures with their units."""
    rows = [{"what": one.name, "much": number(one.value, one), "unit": one.unit} for one in answer.figures]
    columns = [column("Figure", "what"), column("By theory", "much", ""), column("Unit", "unit")]
    return Table("The answer, by theory", columns, rows)


def beside_table(answer: Reckoned, found: Beside | None, words: Words) -> Table:
    """Theory, the record and what was weighed, side by side."""
    rows = [_beside_row(one, found) for one in answer.figures if one.of] if found else []
    columns = [
        column("Figure", "what"),
        column("By theory", "theory", ""),
        column("By its factor", "factor", ""),
        column("plant.toml says", "record", ""),
        column("Weighed ones", "weighed", ""),
        column("Unit", "unit"),
    ]
    shown = [one for one in columns if one["key"] in ("what", "theory", "unit") or _any(rows, one["key"])]
    if not found or len(shown) == 3:
        return Table("", [], [])
    return Table(f"Beside it: {found.product.name}", shown, rows, note=_note(found, words))


def _any(rows: list[dict[str, str]], key: str) -> bool:
    return any(row[key] for row in rows)


def _note(found: Beside, words: Words) -> str:
    factor = f"Factor: {factor_words(found.factor, words)}." if found.factor else ""
    mean = words.amount(int(found.mean_g.to_integral_value(ROUND_HALF_UP)), "g")
    weighed = f"The last {found.weighed} weighed ones averaged {mean}." if found.weighed else ""
    return " ".join(one for one in (factor, weighed) if one)


def _beside_row(one: Figure, found: Beside) -> dict[str, str]:
    return {
        "what": one.name,
        "theory": number(one.value, one),
        "factor": number(by_factor(one, found), one),
        "record": number(recorded(one, found), one),
        "weighed": number(averaged(one, found), one),
        "unit": one.unit,
    }


def number(value: Decimal | int | None, one: Figure) -> str:
    """A value with the places of its figure and thin spaces between thousands; empty for none."""
    if value is None:
        return ""
    rounded = Decimal(value).quantize(Decimal(1).scaleb(-one.places), ROUND_HALF_UP)
    return f"{rounded:,f}".replace(",", THIN_SPACE)


def rested_table(connection: Connection, form: Form, answer: Reckoned | None, words: Words) -> Table:
    """The published rows that the figures rest on, each with its source and who stands behind it."""
    rows = [
        {
            "row": one.figure.called,
            "says": one.figure.said(one.values),
            "sure": together([SURE[one.figure.confidence], _doubt(one, words)], ", "),
            "source": one.figure.source,
        }
        for one in _rests(connection, form, answer)
    ]
    columns = [
        column("Published figure", "row"),
        column("Says", "says"),
        column("How sure", "sure"),
        column("From", "source"),
    ]
    return Table("What it rests on", columns, rows, "It is geometry alone.")


def _doubt(one: Standing, words: Words) -> Markup | str:
    return stands(one, words) if one.counts else tag("unconfirmed")


def _rests(connection: Connection, form: Form, answer: Reckoned | None) -> Iterator[Standing]:
    gauges = answer.values.gauges if answer else ()
    of_gauges = [
        (table, {"system": one.system, "gauge": one.number})
        for one in gauges
        for table in ("wire_gauges", "sheet_gauges")
    ]
    for name, wanted in (*form.rests, *of_gauges):
        try:
            yield standing(connection, figure_of(published(name, **wanted)))
        except Unknown:
            continue  # the gauge is of the other table, or is reckoned by its definition


def told(form: Form, texts: Mapping[str, str], answer: Reckoned, found: Beside | None) -> dict[str, Any]:
    """The answer as a file: decimal text, as shown, with its unit."""
    figures = [_figure_told(one, found) for one in answer.figures]
    product = found.product.code if found else None
    asked = {name: text for name, text in texts.items() if text}
    return {
        "form": form.code,
        "product": product,
        "asked": asked,
        "formula": form.formula,
        "figures": figures,
    }


def _figure_told(one: Figure, found: Beside | None) -> dict[str, Any]:
    others = {
        "by_factor": by_factor(one, found) if found else None,
        "recorded": recorded(one, found) if found else None,
        "weighed_mean": averaged(one, found) if found else None,
    }
    texts = {name: number(value, one).replace(THIN_SPACE, "") or None for name, value in others.items()}
    value = number(one.value, one).replace(THIN_SPACE, "")
    return {"name": one.name, "value": value, "unit": one.unit, **texts}
