"""Tests of the loading of tables."""
