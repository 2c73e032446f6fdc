"""What is kept: the database, its migrations, edits and undo. Owns every SQL statement."""
