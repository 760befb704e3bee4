"""Kinds of stages: one module each, with the fields of the kind and the formulas that apply to it."""
