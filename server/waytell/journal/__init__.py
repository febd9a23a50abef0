"""What happened, kept on disk: events in the order in which they came, from which all state is rebuilt."""
