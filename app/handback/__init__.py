"""What is handed back: the critique note, made as plain data first and then written out."""
