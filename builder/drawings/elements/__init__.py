"""Symbols of circuits: those that the library lacks, and the table of all that drawings use."""
