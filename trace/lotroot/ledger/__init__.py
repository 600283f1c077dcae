"""What happened, in the order it was recorded: the part of the house that only grows."""
