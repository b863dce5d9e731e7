"""A second route to the profiles, verdicts and keys, written from the design and the data files alone."""
