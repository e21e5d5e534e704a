"""Published values beside what the installed rollsim computes for them.

One module a field, each with its rows (`Check`); `catalogue.py` joins and chooses them, `check.py`
says what a row is and computes it. `rollsim verify` shows them, `tests/published/` runs them.
"""
