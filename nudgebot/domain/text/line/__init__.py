"""One line made ready for every reader: tokens, words and phrases, language, and whose its numbers are."""
