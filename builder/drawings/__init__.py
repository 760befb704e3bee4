"""Drawings, all made from the examination; they compute nothing."""
