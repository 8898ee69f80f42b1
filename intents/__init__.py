"""What can be said: phrases, slots, numbers and replies as data, and the matcher that reads them."""
