"""A question resolved on an index: the rows that it uses and the numbers that follow from them."""
