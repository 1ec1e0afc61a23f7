"""The signs that mean stop: plain text, vocabulary, scope and the table of rows."""
