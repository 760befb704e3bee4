"""Schematic fragments: one module for each kind of stage, and one for supplies."""
