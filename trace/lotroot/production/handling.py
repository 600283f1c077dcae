"""Which commands work a run, and who handles them?"""

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
from lotroot.work import Handler

HANDLERS: dict[type, Handler] = {
    OpenRun: Handler(open_run),
    LoadInput: Handler(load_input),
    EndInput: Handler(end_input),
    UnloadInput: Handler(unload_input),
    MakeOutput: Handler(make_output),
    MarkRun: Handler(mark_run),
    ChangeTool: Handler(change_tool),
    ScrapInput: Handler(scrap_input),
    CloseRun: Handler(close_run),
}
