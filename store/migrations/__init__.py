"""Steps from each schema to the next. A released step is never edited."""
