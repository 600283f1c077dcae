"""Which plant was adopted when, which of its things has which number, and whom does it deal with?"""
