"""The nouns of a recorded operation: case clock, clips, vocabularies, tags, marks."""
