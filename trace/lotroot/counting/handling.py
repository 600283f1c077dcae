"""Which commands count what stands at a place, and who handles them?"""

from lotroot.counting.commands import CountGoods, FinishCount, SettleDifference, StartCount
from lotroot.counting.finishing import finish_count
from lotroot.counting.seeing import count_goods, start_count
from lotroot.counting.settling import settle_difference
from lotroot.work import Handler

HANDLERS: dict[type, Handler] = {
    StartCount: Handler(start_count),
    CountGoods: Handler(count_goods),
    FinishCount: Handler(finish_count),
    SettleDifference: Handler(settle_difference),
}
