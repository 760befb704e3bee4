"""Formulas of the trade as plain functions on SI numbers; they know nothing of files, pages or checks."""
