"""Taking recordings in: checking, indexing and filing the clips of a case."""
