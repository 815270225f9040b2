"""Formulas as schools write them in LaTeX: one tree for words, Typst, MathML and plain text."""
