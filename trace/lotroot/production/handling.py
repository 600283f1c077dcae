"""Which commands work a run, and who handles them?"""

from lotroot.production.bins import CorrectBin, WeighBin, correct_bin, weigh_bin
from lotroot.production.blocks import PrintBlock, ReturnLabels, print_block, return_labels
from lotroot.production.bringing_back import BringBack, bring_back
from lotroot.production.correcting_inputs import (
    ConfirmLinks,
    CorrectInput,
    CorrectMark,
    confirm_links,
    correct_input,
    correct_mark,
)
from lotroot.production.correcting_outputs import (
    CorrectOutput,
    CorrectTime,
    CorrectUse,
    correct_output,
    correct_time,
    correct_use,
)
from lotroot.production.loading import (
    EndInput,
    LoadInput,
    UnloadInput,
    end_input,
    load_input,
    unload_input,
)
from lotroot.production.making import MakeOutput, make_output
from lotroot.production.marking import (
    ChangeTool,
    CloseRun,
    MarkRun,
    ScrapInput,
    change_tool,
    close_run,
    mark_run,
    scrap_input,
)
from lotroot.production.opening import OpenRun, open_run
from lotroot.production.packing import PackItems, pack_items
from lotroot.production.parting import SplitLot, split_lot
from lotroot.work import Handler

HANDLERS: dict[type, Handler] = {
    OpenRun: Handler(open_run),
    LoadInput: Handler(load_input),
    EndInput: Handler(end_input),
    UnloadInput: Handler(unload_input),
    MakeOutput: Handler(make_output, labels=("number",)),
    MarkRun: Handler(mark_run),
    ChangeTool: Handler(change_tool),
    ScrapInput: Handler(scrap_input),
    CloseRun: Handler(close_run),
    PrintBlock: Handler(print_block),
    PackItems: Handler(pack_items),
    ReturnLabels: Handler(return_labels),
    BringBack: Handler(bring_back),
    SplitLot: Handler(split_lot),
    WeighBin: Handler(weigh_bin),
    CorrectBin: Handler(correct_bin),
    CorrectInput: Handler(correct_input),
    CorrectMark: Handler(correct_mark),
    CorrectOutput: Handler(correct_output),
    CorrectTime: Handler(correct_time),
    CorrectUse: Handler(correct_use),
    ConfirmLinks: Handler(confirm_links, pin=True),
}
