"""How quick is the lineage on ten years of a plant, and against what?

`synthetic` invents a plant day by day, `scratch` writes it into a database of ours and into one with a
node for every box, `contests` asks the same of ours and of its peers, asserts that they answer alike and
times them, `report` sets the ratios beside the goals.
"""
