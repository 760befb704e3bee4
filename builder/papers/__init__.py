"""Papers: what is handed over in print, one module per paper; they pick and arrange, and compute nothing."""
