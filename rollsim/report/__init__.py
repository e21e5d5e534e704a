"""Texts and pictures made from results.

Nothing is imported here: matplotlib is loaded only by the module that draws.
"""
