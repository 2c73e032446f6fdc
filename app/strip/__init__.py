"""The case strip: a whole case as one ribbon, drawn by one code on screen, page and picture."""
