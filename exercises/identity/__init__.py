"""Who somebody is, and what they may do: accounts, classes, nicknames, sign-ins, assignments.

Everything here is told by values; what keeps them stands behind ``people.People``. No e-mail and
no real name is asked for: a learner is a nickname and a PIN within a class.
"""
