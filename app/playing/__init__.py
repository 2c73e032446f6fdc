"""Playing a case: pictures decoded in a process of their own, shown on the beat."""
