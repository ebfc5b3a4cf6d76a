"""Questions to the book. Nothing here writes."""
