"""Physics and trade arithmetic: one subject a module, pure functions, SI units inside.

Nothing here reads a file, a clock or the rest of the package. Arguments are keyword-only and carry their
unit in the docstring; what lies outside a stated range is refused with ValueError, never clipped. Limits
that a standard or a law sets are not kept here: they are data, and are passed in.
"""
