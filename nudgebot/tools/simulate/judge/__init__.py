"""A judge of simulated lives: the published rules worked out a second time (docs/season.md, nudges.md, safety.md).

It reads books as plain data and asks neither the planner, nor the replanner, nor the nudge rules what they think of
themselves: import-linter holds that. A number that is wrong here and there the same way would still go unseen, so the
numbers are written down again.
"""
