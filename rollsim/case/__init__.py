"""Case files: schema, reading, relations between fields, materials, named environments."""
