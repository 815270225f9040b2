"""What stands in a paragraph: text, emphasis, words in brackets, sounds."""
