"""Measures of acceleration signals, the same for a source before a run and for a history after it.

Plain numbers in and out: nothing here knows a case, a model or a file.
"""
