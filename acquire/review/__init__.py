"""Looking back at a run: what was known when, what other settings would give, what happened; no Qt, no file."""
