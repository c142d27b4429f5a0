"""The kinds of parts, a module a family.

``KINDS`` in ``circuits.parts.kinds`` lists them all by the name that circuit files use.
"""
