"""What one does in the yard: the only place that writes."""
