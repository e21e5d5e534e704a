"""The usual cautions, the same words wherever a verdict is given."""

CAUTION = (
    "Results support, never replace, the judgement of a licensed engineer and the standards and "
    "local codes that apply. Lock out rotating machinery before anyone opens it."
)
