"""Runs made from cases: what a run takes from the cage as a structure is computed here."""
