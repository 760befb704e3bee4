"""The design checks: one module for each subject, one function for each check."""
