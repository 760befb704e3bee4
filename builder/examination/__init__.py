"""The engine: values, workings, judgements and findings; it knows no particular check."""
