"""From the words of a command to what is reckoned of them."""
