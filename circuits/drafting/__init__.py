"""How a drawing is laid out, a step a module: flow, blocks, ranks, rows, routes, letters.

``circuits.layout`` puts the steps together. Nothing here knows a setting or draws anything.
"""
