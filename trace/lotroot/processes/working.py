"""What is one process: what goes in, how it reaches what comes out, and what must add up?

Frozen values, parsed and checked by `lotroot.processes.reading`. Words as in DESIGN.md section 6 and
RULES.md 2 and 6-11.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Role:
    """What an input is for.

    `stream` is what its amount adds up with; `feed` overrides the process's (None: the same); `payoffs`
    are the codes it may sit on (empty: any); `weight` is what its part is reckoned by: `amount`
    (weighed or typed) or `mass_per_metre` (running length times the product's mass per metre).
    `least` and `most` bound how many are loaded at once (`most` None: no bound; `least` 0: may be left out).
    """

    role: str
    name: str
    stream: str
    kinds: tuple[str, ...]
    feed: str | None
    payoffs: tuple[str, ...]
    weight: str
    least: int
    most: int | None


@dataclass(frozen=True, slots=True)
class Output:
    """What comes out.

    `as_` is `lot` (every output its own number) or `item` (a serial of a lot); `lot_per` says whether a
    lot is one output or all of a run; `products` are the codes it may be (empty: any of `kind`);
    `asks` is what the operator gives: weight, count (pieces where the kind counts pieces, else items),
    length, volume, lane (mm across the width), of (which loaded lot it is of, all of it) or cut (the lines
    of a bundle, pieces x length; with weight beside it, the bundle may be weighed);
    `layout` the label's; `awaits` the hold it is born with (`drip`, `checks` or None); `carrier` the
    kind of carrier it goes into, or None; `theory` what its amount is compared with when entered
    (`mass_per_metre`, `mass_per_piece`, `volume_per_piece`, `width` or None).
    """

    code: str
    name: str
    kind: str
    as_: str
    products: tuple[str, ...]
    lot_per: str
    by_product: bool
    stream: str
    asks: tuple[str, ...]
    layout: str
    awaits: str | None
    carrier: str | None
    theory: str | None


@dataclass(frozen=True, slots=True)
class Margin:
    """How far a boundary between two inputs is uncertain: wire on the blocks, and loss in thousandths."""

    on_blocks: int
    loss_permille: int


WORN_PERCENT = "3"
"""Where the plant does not say: wider than any limit of wire we know, so that no die in use is left out (our
own choice)."""


@dataclass(frozen=True, slots=True)
class Drafts:
    """What the plant allows in drawing: reductions of the section as decimal text in percent.

    One draft reduces by `least_percent` to `most_percent`, all dies together by `total_most_percent`.
    `checked` is the characteristic that says how thick the finished wire may be, "" where none does. A last
    die that is further than `worn_percent` off a product's size is not one for it.
    """

    most_percent: str
    least_percent: str
    total_most_percent: str
    checked: str
    worn_percent: str = WORN_PERCENT


@dataclass(frozen=True, slots=True)
class Process:
    """One table of plant.toml: a way of working, judged by the version of the plant it ran under.

    `streams` maps each stream to the unit that must close; `tolerance_permille` is how far it may stay
    open unasked; `loss_permille` of what was used is lost as `loss` names it (no acceptance rests on one from
    memory); `uses` are kinds of resource a run names; `vessel` is `empties`, `keeps a heel` or
    None; `drafts` are its limits where wire is drawn, else None; `loss` names the loss;
    `number_printed` says that the run's own number is printed; `checks` are characteristic codes;
    `cautions` keys of sentences. `same_wire` says that what is made takes wire of its own diameter, or
    of its role's, `same_size` that all in it is of one size; sooner than `least_minutes` after the last load
    nothing is done (0: no limit). `one_paint_batch` has an output of two paint batches asked about.
    """

    code: str
    name: str
    feed: str
    order: str
    inputs: tuple[Role, ...]
    outputs: tuple[Output, ...]
    streams: Mapping[str, str]
    margin: Margin
    drafts: Drafts | None
    tolerance_permille: int
    loss_permille: int
    loss_source: str
    loss_confidence: str
    uses: tuple[str, ...]
    vessel: str | None
    loss: str
    number_printed: bool
    same_wire: bool
    same_size: bool
    least_minutes: int
    checks: tuple[str, ...]
    cautions: tuple[str, ...]
    one_paint_batch: bool = False

    def is_aid(self, stream: str) -> bool:
        """Whether a stream only helps, is used up, and is in nothing that is made: sawdust in a tumbler.

        A process may go without it, and no output is of it; what goods are partly of must be there (PVC).
        """
        optional = all(role.least == 0 for role in self.inputs if role.stream == stream)
        return optional and all(output.stream != stream for output in self.outputs)

    def input(self, role: str) -> Role | None:
        """The input with this role, or None."""
        return next((one for one in self.inputs if one.role == role), None)

    def output(self, code: str) -> Output | None:
        """The output with this code, or None."""
        return next((one for one in self.outputs if one.code == code), None)
