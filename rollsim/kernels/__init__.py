"""All compiled code: scalars in, tuples out; in a step no checks, files, exceptions, allocation."""
