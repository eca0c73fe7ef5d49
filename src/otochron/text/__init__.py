"""One stream of words, and what is known of words without any word list of the trade."""
