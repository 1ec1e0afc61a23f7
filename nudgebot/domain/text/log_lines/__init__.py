"""How one line of a runner is read: tokens, words, numbers, amounts, days, clauses, intent."""
