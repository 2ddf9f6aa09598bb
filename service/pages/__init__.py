"""Pages that people read and print: no script, nothing from elsewhere."""
