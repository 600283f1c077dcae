"""What should a step make of what goes in, by geometry and published figures alone?

Pure functions, one module a process. Sizes are `Decimal` millimetres, masses integers or `Decimal` in the
unit that the name says; a wrong size raises Unreadable, naming the field, the value and what would fit.
Theory is plausibility and never the record: what was weighed stays what was weighed.
"""
