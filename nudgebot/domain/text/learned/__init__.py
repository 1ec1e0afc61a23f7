"""What is learned from lines with labels: features, weights and their readers; `python -m tests.corpus.train`."""
