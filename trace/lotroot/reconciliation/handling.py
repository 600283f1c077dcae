"""Which commands are about how runs and months add up?"""

from lotroot.reconciliation.earlier import AddUpRuns, add_up
from lotroot.reconciliation.factors import SetFactor, WithdrawFactor, set_factor, withdraw_factor
from lotroot.reconciliation.months import CloseMonth, close_month
from lotroot.work import Handler

HANDLERS: dict[type, Handler] = {
    CloseMonth: Handler(close_month, pin=True),
    SetFactor: Handler(set_factor, pin=True),
    WithdrawFactor: Handler(withdraw_factor, pin=True),
    AddUpRuns: Handler(add_up, internal=True),
}
