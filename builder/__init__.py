"""Documentation sites and printable papers for finished vacuum-tube radio stations."""
