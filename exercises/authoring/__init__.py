"""Exercises that an instructor makes: a fault and rules in, an exercise with a good path out.

The path is worked out by the policy of ``exercises.planning``, so whatever is made here is
checked as an exercise of the library is.
"""
