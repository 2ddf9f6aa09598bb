"""The formulas of the trade: text, source and units beside the function, each said once."""
