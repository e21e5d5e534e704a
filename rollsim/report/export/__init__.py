"""A history in formats of other programs: CSV, Parquet, VTK."""
