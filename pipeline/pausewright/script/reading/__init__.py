"""Blocks to the values of the model: who owns what, and what is in force there."""
