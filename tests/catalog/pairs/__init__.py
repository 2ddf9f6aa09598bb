"""Rules 9 and 10 on pairs of changes of sound setups, by an oracle that stands beside the code.

`odd` makes the tables, `setups` what is right on them, `changes` what can be wrong; `exact` works
the numbers, `forbidden` says which of them may not be told, `search` finds them, `judge` decides.
"""
