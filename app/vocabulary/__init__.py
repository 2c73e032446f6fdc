"""The words of a procedure: which hold for a review, where they are kept, and their editor."""
