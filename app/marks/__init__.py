"""Marks on the picture: laid out and painted by one code for screen, stills and clips. No Qt."""
