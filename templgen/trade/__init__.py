"""Published tables and formulas of the trade, each value with its source.

Nothing is read at import: each module loads its own data file when it is first asked. Names that a table does
not hold raise `UnitError` with the nearest ones. Millimetres unless the unit stands in the name.
"""
