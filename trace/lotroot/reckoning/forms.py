"""Which forms are there, in the order of the plant's work, and which products of the plant fill one?"""

from lotroot.errors import Unknown
from lotroot.processes.definition import Plant, Product
from lotroot.reckoning import fencing, mesh, roofing, strip, wire_and_nails, wood
from lotroot.reckoning.form import Form

FORMS: dict[str, Form] = {
    form.code: form
    for form in (
        *wire_and_nails.FORMS,
        *fencing.FORMS,
        *mesh.FORMS,
        *strip.FORMS,
        *roofing.FORMS,
        *wood.FORMS,
    )
}


def form_named(code: str) -> Form:
    """The form with this code. Raises Unknown."""
    if code not in FORMS:
        raise Unknown(
            f"There is no form {code[:40]!r}.",
            value=code[:40],
            expected=f"One of {', '.join(FORMS)}.",
            next_step="Choose one from the list.",
        )
    return FORMS[code]


def products_of(form: Form, plant: Plant | None) -> list[Product]:
    """The products whose sizes fit a form."""
    return [one for one in plant.products.values() if form.fits(one)] if plant else []
