"""How is one process read from its table?"""

from collections.abc import Mapping

from lotroot.processes.dies import drafts_of
from lotroot.processes.tables import CODE, Table, fixed, origin_of
from lotroot.processes.working import Margin, Output, Process, Role

FEEDS = ("in_turn", "side_by_side", "together", "mixed", "as_is")
ORDERS = ("kept", "reversed", "lost")
WEIGHTS = ("amount", "mass_per_metre")
ASKS = ("weight", "count", "length", "volume", "lane", "of", "cut")
THEORIES = ("mass_per_metre", "mass_per_piece", "volume_per_piece", "width")
VESSELS = ("empties", "keeps a heel")
AWAITS = ("drip", "checks")
UNITS = ("g", "mm", "ml", "cm3", "pcs")
CODE_WORDS = "a code of letters, digits, _ and -"


def read_process(code: str, table: Table) -> Process:
    """[process.CODE] with its [process.CODE.input.ROLE] and [process.CODE.output.CODE]."""
    if from_catalogue := table.text("from", ""):
        raise table.refuse("from", from_catalogue, "a process written in full: resolve the text first")
    feed = table.choice("feed", FEEDS)
    source, confidence = origin_of(table, "loss_source", "loss_confidence")
    return Process(
        code=code,
        name=table.text("name"),
        feed=feed,
        order=table.choice("order", ORDERS, "lost"),
        inputs=tuple(_role(role, inner) for role, inner in table.tables("input")),
        outputs=tuple(_output(output, inner) for output, inner in table.tables("output")),
        streams=_streams(table),
        margin=_margin(table.table("margin")),
        drafts=drafts_of(table.table("drafts")),
        tolerance_permille=table.amount("tolerance_permille"),
        loss_permille=table.amount("loss_permille", 0),
        loss_source=source,
        loss_confidence=confidence,
        uses=table.codes("uses"),
        vessel=table.maybe_choice("vessel", VESSELS),
        loss=table.text("loss", ""),
        number_printed=table.flag("number_printed", False),
        same_wire=table.flag("same_wire", False),
        same_size=table.flag("same_size", False),
        least_minutes=table.amount("least_minutes", 0),
        one_paint_batch=table.flag("one_paint_batch", False),
        checks=table.codes("checks"),
        cautions=table.codes("cautions"),
    )


def _streams(table: Table) -> Mapping[str, str]:
    inner = table.table("streams")
    return fixed({stream: inner.choice(stream, UNITS) for stream in inner.entries()})


def _margin(table: Table) -> Margin:
    margin = Margin(table.amount("on_blocks", 0), table.amount("loss_permille", 0))
    table.done()
    return margin


def _role(role: str, table: Table) -> Role:
    least = table.amount("least", 1)
    most = table.maybe_amount("most")
    if most is not None and most < least:
        raise table.refuse("most", most, f"at least {least}, the least that are loaded")
    value = Role(
        role=role,
        name=table.text("name"),
        stream=table.matching("stream", CODE, CODE_WORDS),
        kinds=table.codes("kinds"),
        feed=table.maybe_choice("feed", FEEDS),
        payoffs=table.codes("payoffs"),
        weight=table.choice("weight", WEIGHTS, "amount"),
        least=least,
        most=most,
    )
    table.done()
    return value


def _output(code: str, table: Table) -> Output:
    as_ = table.choice("as", ("lot", "item"))
    value = Output(
        code=code,
        name=table.text("name"),
        kind=table.matching("kind", CODE, CODE_WORDS),
        as_=as_,
        products=table.codes("products"),
        lot_per=table.choice("lot_per", ("output", "run"), "output"),
        by_product=table.flag("by_product", False),
        stream=table.matching("stream", CODE, CODE_WORDS),
        asks=table.chosen("asks", ASKS),
        layout=table.matching("layout", CODE, CODE_WORDS, as_),
        awaits=table.maybe_choice("awaits", AWAITS),
        carrier=table.text("carrier", "") or None,
        theory=table.maybe_choice("theory", THEORIES),
    )
    table.done()
    return value
