"""Which heats are in a load before it is mixed, and how much would hang on each of them?"""

from lotroot.reconciliation.origins import origins_of
from lotroot.reconciliation.stake import FEW, Part, stake_of
from lotroot.web.station_state import State


def at_stake(state: State) -> list[str]:
    """Sentences for the page of a station that mixes, once something is loaded; none elsewhere."""
    own = [one for one in state.loads if one.stream == state.main.stream]  # sawdust has no heat
    mixed = [one for one in own if state.feed_of(one.stream) == "mixed"]
    found = [origins_of(state.scene.connection, one.lot, one.stream) for one in mixed]
    parts = [
        Part(one.amount, frozenset(origin.heat for origin in origins if origin.heat))
        for one, origins in zip(mixed, found, strict=True)
        if origins is not None
    ]
    stake = stake_of(parts)
    if not stake.heats or len(parts) < len(mixed):
        return []
    unit = state.process.streams[mixed[0].stream]
    much = state.scene.amount(stake.amount, unit)
    if len(stake.heats) == 1:
        return [f"One heat in this load, {stake.heats[0]}: all of it, {much}, would be recalled for that."]
    said = [f"{len(stake.heats)} heats in this load: {much} would have to be recalled for any of them."]
    if stake.fewer:
        said.append(f"The most of it that is of {FEW} heats alone: {state.scene.amount(stake.fewer, unit)}.")
    return said
