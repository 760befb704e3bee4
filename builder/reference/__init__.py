"""Facts with their sources."""
