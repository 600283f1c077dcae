"""How do inputs reach outputs, in pure arithmetic?

    happenings    what happened in a run: loads, ends, outputs; and the links that follow
    border, reached    where one load gives way to the next; how far a lot has been taken
    line          one payoff: its loads are eaten in turn
    in_turn, together, side_by_side, mixed    one feed each
    linking       from a part of an output to a link, and the merging of links
    feeds         the table of feeds; `links`, `per_output`
    closing       `differences` and `standing` of each load
    flows         the most that can flow through a net
    stretches     positions on a lot: from the other end, swapped, meeting

All amounts are integers in the closing unit of one stream: g of steel, cm3 of wood, ml of solution.
Nothing here reads a database, a clock or a setting: the same history gives the same links.
"""
