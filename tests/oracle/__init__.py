"""Answers held to what they were, by digest: 80,000 questions drawn from the shipped rows."""
