"""Pages: one module each; it picks from the examination and names a template."""
